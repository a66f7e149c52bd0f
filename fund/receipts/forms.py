from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.forms.utils import ErrorDict

from fund.forms import BookForm, BookRenderer, DayField, MoneyFormField
from fund.money import Money, split
from fund.receipts.fields import CrewField, QuantityField, RepairField, repair_choices
from fund.receipts.forms_odd import ODD, OddPaperForm
from fund.receipts.homes import HOMES, TENDERS
from fund.receipts.models import Receipt, ReceiptLine, ReceiptPortion
from fund.receipts.quantities import CONDITIONS, UNITS
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.receipts.rules_rate import core_question

ROWS_AT_FIRST, ROWS_MORE, ROWS_MOST = 3, 3, 60
PHOTO_TYPES = "image/jpeg,image/png,image/heic,image/heif,application/pdf"


class ReceiptForm(OddPaperForm):
    """The head of a receipt. ``kept_photo`` carries a photo that came with an earlier, unfinished try."""

    photo = forms.FileField(
        label="Photo or PDF of the receipt",
        required=False,
        help_text="Take it now: thermal print fades. JPEG, PNG, HEIC or PDF, up to 12 MB; its location is removed.",
        widget=forms.ClearableFileInput(attrs={"accept": PHOTO_TYPES}),
    )
    kept_photo = forms.CharField(required=False, widget=forms.HiddenInput)
    store = forms.CharField(
        label="Store",
        max_length=60,
        error_messages={"required": "Say which store it is from."},
        widget=forms.TextInput(attrs={"list": "stores", "autocomplete": "off"}),
    )
    number = forms.CharField(label="Receipt number", max_length=40, required=False)
    on = DayField(label="Date on the receipt")
    all_home = forms.ChoiceField(
        label="Lines go to",
        required=False,
        choices=[
            ("", "each its own way"),
            *((key, home.label) for key, home in HOMES.items() if key != "core"),
        ],
        help_text="For every line that says nothing else below.",
    )
    all_repair = forms.ChoiceField(label="Which repair", required=False)
    tax = MoneyFormField(label="Tax", required=False)
    total = MoneyFormField(label="Total", above_zero=True)
    tender = forms.ChoiceField(
        label="Paid with",
        choices=[(key, f"{tender.label[0].upper()}{tender.label[1:]}") for key, tender in TENDERS.items()],
    )
    buyer = CrewField(label="Who paid at the counter", empty_label=None)
    at_time = forms.TimeField(
        label="Time on the receipt",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )
    card_last4 = forms.CharField(
        label="Last four digits of the card",
        required=False,
        max_length=4,
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "autocomplete": "off"}),
    )
    note = forms.CharField(label="Note", required=False, max_length=300)
    duplicate_reason = forms.CharField(
        label="If it is a second purchase like another: why",
        required=False,
        max_length=200,
        help_text="Only when a receipt with the same store, date and total, and no other number, is there already.",
    )

    def __init__(self, *args: Any, repairs: list[tuple[str, str]] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        keep = str(self.initial.get("all_repair") or "")
        self.fields["all_repair"] = RepairField(
            choices=repairs, keep=keep, label="Which repair", required=False
        )


class LineForm(BookForm):
    """One printed line. A row left empty is no line; ``shelf_quantity`` is the part of it that goes to the shelf."""

    text = forms.CharField(label="What it is", max_length=80, required=False)
    amount = MoneyFormField(label="Amount before tax", required=False)
    taxed = forms.BooleanField(label="Taxed", required=False, initial=True)
    home = forms.ChoiceField(
        label="Goes to",
        required=False,
        choices=[("", ""), *((key, home.label) for key, home in HOMES.items())],
    )
    repair = forms.ChoiceField(label="Which repair", required=False)
    quantity = QuantityField(label="Quantity", required=False)
    unit = forms.ChoiceField(
        label="Unit", choices=[(key, words[0]) for key, words in UNITS.items()], required=False
    )
    shelf_quantity = QuantityField(label="Of it to the shelf", required=False)
    condition = forms.ChoiceField(label="Condition", choices=list(CONDITIONS.items()), required=False)

    def __init__(self, *args: Any, repairs: list[tuple[str, str]] | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("empty_permitted", True)
        kwargs.setdefault("use_required_attribute", False)
        super().__init__(*args, **kwargs)
        keep = str(self.initial.get("repair") or "")
        self.fields["repair"] = RepairField(
            choices=repairs if repairs is not None else repair_choices(),
            keep=keep,
            label="Which repair",
            required=False,
        )

    def has_changed(self) -> bool:
        """Empty or not is decided by ``clean``: a box left ticked does not make a line."""
        return True

    @property
    def more_open(self) -> bool:
        """Whether the folded part of the row holds something to be seen."""
        names = ("quantity", "shelf_quantity", "condition", "unit")
        plain = ("", "-", "each", "1", None)
        return any(self[name].value() not in plain or self.errors.get(name) for name in names)

    @property
    def is_line(self) -> bool:
        """Whether the row holds a line, by what was typed."""
        return any(self[name].value() for name in ("text", "amount", "home"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.is_line:
            return data
        for name, words in (("text", "Say what it is."), ("home", "Say where it goes.")):
            if not data.get(name) and name not in self.errors:
                self.add_error(name, words)
        if data.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", "Write the amount.")
        home = HOMES.get(data.get("home") or "")
        if home and home.repair == "must" and not data.get("repair") and "repair" not in self.errors:
            self.add_error("repair", "Say which repair.")
        quantity, shelf = data.get("quantity") or 1000, data.get("shelf_quantity") or 0
        if shelf and (not home or home.account == HOMES["shelf"].account or shelf >= quantity):
            self.add_error(
                "shelf_quantity", "Less than the whole quantity; or choose the shelf for all of it."
            )
        return data

    def line(self) -> LineInput:
        """The line of a valid row."""
        data = self.cleaned_data
        quantity, shelf = data.get("quantity") or 1000, data.get("shelf_quantity") or 0
        takes_repair = HOMES[data["home"]].repair != "no"
        portions = [PortionInput(data["home"], (data.get("repair") or None) if takes_repair else None)]
        if shelf:
            portions.append(PortionInput("shelf", None, shelf))
        return LineInput(
            data["text"],
            data["amount"],
            tuple(portions),
            taxable=data["taxed"],
            quantity=quantity,
            unit=data.get("unit") or "each",
            condition=data.get("condition") or "-",
        )


if TYPE_CHECKING:
    _Rows = forms.BaseFormSet[LineForm]
else:
    _Rows = forms.BaseFormSet


class BaseLineFormSet(_Rows):
    """All rows of a receipt; they share one reading of the repairs."""

    def __init__(self, *args: Any, repairs: list[tuple[str, str]] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.form_kwargs["repairs"] = repair_choices() if repairs is None else repairs

    def inputs(self) -> list[LineInput]:
        return [form.line() for form in self.forms if form.is_line]

    def cores_asked(self, tax: Money, freight: Money, discount: Money) -> str:
        """What to ask about the tax on core deposits, of valid rows (``rules_rate.core_question``)."""
        return core_question(
            [(line.amount, line.portions[0].home == "core", line.taxable) for line in self.inputs()],
            tax, freight, discount,
        )  # fmt: skip


LineFormSet = cast(
    type[BaseLineFormSet],
    forms.formset_factory(
        LineForm,
        formset=BaseLineFormSet,
        extra=ROWS_AT_FIRST,
        max_num=ROWS_MOST,
        absolute_max=ROWS_MOST,
        renderer=BookRenderer(),
    ),
)


def unjudged(*some: forms.Form) -> None:
    """Show bound forms as they were typed, without looking for what is wrong yet."""
    for form in some:
        form._errors = ErrorDict()  # type: ignore[attr-defined]
        form.cleaned_data = {}


def with_more_rows(data: Any) -> Any:
    """The posted data with room for more lines, all else as typed."""
    more = data.copy()
    try:
        rows = int(more.get("lines-TOTAL_FORMS", 0))
    except ValueError:
        rows = 0
    more["lines-TOTAL_FORMS"] = str(min(rows + ROWS_MORE, ROWS_MOST))
    return more


def receipt_input(head: dict[str, Any], lines: list[LineInput]) -> ReceiptInput:
    """What the action takes, from the cleaned head and rows."""
    names = ("store", "number", "on", "total", "tax", "tender", "buyer", "at_time", "card_last4", "note")
    return ReceiptInput(
        **{name: head[name] for name in (*names, *ODD)},
        duplicate_reason=head["duplicate_reason"],
        lines=lines,
    )


def head_of(receipt: Receipt) -> dict[str, Any]:
    """The head of a draft, for its form."""
    names = (
        "number",
        "on",
        "total",
        "tax",
        "tender",
        "buyer",
        "at_time",
        "card_last4",
        "note",
        "duplicate_reason",
    )
    photo = receipt.photo.code if receipt.photo else ""
    return {
        "store": receipt.supplier.name,
        "kept_photo": photo,
        **{name: getattr(receipt, name) for name in (*names, *ODD)},
    }


def rows_of(receipt: Receipt) -> list[dict[str, Any]]:
    """The lines of a draft, for its rows. A line shared in a way that one row cannot say becomes several rows."""
    rows = []
    for line in receipt.lines.prefetch_related("portions"):
        portions = sorted(line.portions.all(), key=lambda portion: portion.home == "shelf")
        if len(portions) == 2 and portions[0].home != "shelf" == portions[1].home:
            rows.append(_row(line, portions[0], line.quantity, line.amount, portions[1].quantity))
            continue
        amounts = split(line.amount, [portion.quantity for portion in portions])
        for portion, amount in zip(portions, amounts, strict=True):
            rows.append(_row(line, portion, portion.quantity, amount, None))
    return rows


def _row(
    line: ReceiptLine, portion: ReceiptPortion, quantity: int, amount: Money, shelf: int | None
) -> dict[str, Any]:
    return {
        "text": line.text,
        "amount": amount,
        "taxed": line.taxable,
        "home": portion.home,
        "repair": portion.cost_object_id or "",
        "quantity": None if quantity == 1000 else quantity,
        "unit": line.unit,
        "shelf_quantity": shelf,
        "condition": line.condition,
    }


class ReasonForm(BookForm):
    """Why something is thrown away or taken back."""

    reason = forms.CharField(label="Why", max_length=200)


class PhotoForm(BookForm):
    photo = forms.FileField(
        label="Photo or PDF of the receipt", widget=forms.ClearableFileInput(attrs={"accept": PHOTO_TYPES})
    )
