from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from fund.forms import BookForm, MoneyFormField
from fund.receipts.models import ShelfLot
from jobs.estimates.models import KINDS, EstimateLine
from jobs.estimates.models_types import JobTypeLine
from jobs.estimates.queries_shelf import lots_by_line
from jobs.estimates.queries_types import job_types
from jobs.estimates.rows import wrong_lines
from jobs.estimates.rules import CONDITIONS, EstimateTotal, Kind, LineDraft, add_up

SPARE = 3
MORE = 5
MOST = 200
LAID_OUT = (
    Kind.CORE,
    Kind.TAX,
    Kind.FEE,
    Kind.OUTSIDE,
    Kind.CONTINGENCY,
)  # nothing that could lie on a shelf


class LineForm(BookForm):
    """One row of the estimate. A row without words and amount is no row."""

    kind = forms.ChoiceField(label="Kind", choices=KINDS, required=False)
    text = forms.CharField(
        label="What", max_length=120, required=False, widget=forms.TextInput(attrs={"class": "broad"})
    )
    condition = forms.ChoiceField(
        label="Condition",
        choices=[("", "any"), *((word, word) for word in CONDITIONS)],
        required=False,
    )
    quantity = forms.DecimalField(
        label="Quantity",
        min_value=Decimal("0.001"),
        max_digits=9,
        decimal_places=3,
        required=False,
        widget=forms.TextInput(
            attrs={"class": "number narrow", "inputmode": "decimal", "autocomplete": "off"}
        ),
    )
    unit = forms.CharField(
        label="Unit", max_length=16, required=False, widget=forms.TextInput(attrs={"class": "narrow"})
    )
    amount = MoneyFormField(label="Amount", required=False)
    store = forms.CharField(label="Store", max_length=60, required=False)
    other_store = forms.CharField(label="Other store", max_length=60, required=False)
    other_amount = MoneyFormField(label="Asks", required=False)

    def __init__(self, *args: Any, place: int, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"line-{place}", **kwargs)
        self.there: list[ShelfLot] = []  # what the shelf holds of it; see LineRows.look_on_shelf
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = f"Line {place + 1}, {str(field.label).lower()}"

    @property
    def empty(self) -> bool:
        return (
            not self.data.get(f"{self.prefix}-text", "").strip()
            and not self.data.get(f"{self.prefix}-amount", "").strip()
        )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not self.empty:
            if not data.get("text") and "text" not in self.errors:
                self.add_error("text", "Say what the amount is for.")
            if data.get("amount") is None and "amount" not in self.errors:
                self.add_error("amount", "Write what it costs, or empty the row.")
        return data

    def draft(self) -> LineDraft:
        data = self.cleaned_data
        return LineDraft(
            kind=Kind(data["kind"] or Kind.PART),
            text=data["text"],
            amount=data["amount"],
            quantity=int((data["quantity"] or Decimal(1)) * 1000),
            unit=data["unit"],
            condition=data["condition"],
            store=data["store"],
            other_amount=data["other_amount"],
            other_store=data["other_store"],
        )

    @property
    def compared(self) -> bool:
        """Whether something of a second price is written, so that its boxes stand open."""
        return any(
            self[name].value() or self[name].errors for name in ("store", "other_store", "other_amount")
        )


def _start(line: EstimateLine) -> dict[str, Any]:
    quantity = f"{Decimal(line.quantity).scaleb(-3).normalize():f}"
    return {
        "kind": line.kind,
        "text": line.text,
        "condition": line.condition,
        "quantity": quantity,
        "unit": line.unit,
        "amount": line.amount,
        "store": line.store,
        "other_store": line.other_store,
        "other_amount": line.other_amount,
    }


def _usual(line: JobTypeLine) -> dict[str, Any]:
    """A usual line as it is copied: everything but its price, which is asked at the counter."""
    quantity = f"{Decimal(line.quantity).scaleb(-3).normalize():f}"
    return {
        "kind": line.kind,
        "text": line.text,
        "condition": line.condition,
        "quantity": quantity,
        "unit": line.unit,
    }


class LineRows:
    """All rows of the editor together: as stored, or as typed. Adding rows keeps every character typed."""

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        stored: Sequence[EstimateLine] = (),
        copied: Sequence[JobTypeLine] = (),
    ) -> None:
        self.typed = data is not None
        if data is None:
            self.stored = list(stored)
            starts = [_start(line) for line in stored] + [{} for _ in range(SPARE)]
            self.forms = [LineForm(place=place, initial=start) for place, start in enumerate(starts)]
        else:
            count = int(data["rows"]) if str(data.get("rows", "")).isdecimal() else SPARE
            count += MORE if data.get("act") == "more" else 0
            self.forms = [LineForm(data, place=place) for place in range(min(count, MOST))]
            self._copy(copied)

    def _copy(self, copied: Sequence[JobTypeLine]) -> None:
        """Put usual lines into the rows that are still empty, and more rows below where those do not suffice."""
        there = {form["text"].value() for form in self.forms}
        wanted = [line for line in copied if line.text not in there]
        empty = [place for place, form in enumerate(self.forms) if form.empty]
        places = [*empty, *range(len(self.forms), MOST)][: len(wanted)]
        for place, line in zip(places, wanted, strict=False):
            row = LineForm(place=place, initial=_usual(line))
            row.fields["amount"].widget.attrs["placeholder"] = line.usual
            self.forms[place : place + 1] = [row]

    def look_on_shelf(self) -> None:
        """Put beside each row what the shelf holds of it. One query, or none."""
        texts = [
            "" if form["kind"].value() in LAID_OUT else form["text"].value() or "" for form in self.forms
        ]
        for form, lots in zip(self.forms, lots_by_line(texts), strict=True):
            form.there = lots

    @property
    def filled(self) -> list[LineForm]:
        return [form for form in self.forms if not form.empty]

    def is_valid(self) -> bool:
        return all(form.is_valid() for form in self.filled)

    @property
    def wrong(self) -> list[str]:
        """Each thing wrong with a row, with the number of its row."""
        numbered = enumerate(self.forms, start=1)
        return wrong_lines((place, form) for place, form in numbered if self.typed and not form.empty)

    def drafts(self) -> list[LineDraft]:
        """The lines as typed; call it after :meth:`is_valid`."""
        return [form.draft() for form in self.filled]

    @property
    def sums(self) -> EstimateTotal:
        """What the rows that can be read add up to."""
        if not self.typed:
            return add_up(self.stored)
        return add_up([form.draft() for form in self.filled if form.is_valid()])


class EstimateHead(BookForm):
    """Which typical job it is; carries what is wrong with the estimate as a whole."""

    typical_job = forms.ModelChoiceField(
        job_types(), label="Typical job", required=False, empty_label="None of the crew's list"
    )


class SupplementHead(BookForm):
    reason = forms.CharField(
        label="Why more is needed",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What was found, and why it cannot wait. The person deciding reads this first.",
    )
