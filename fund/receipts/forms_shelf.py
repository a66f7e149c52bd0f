from collections.abc import Sequence
from typing import Any

from django import forms

from fund import clock
from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.money import Money
from fund.receipts.fields import CrewField, QuantityField, repair_choices
from fund.receipts.homes import HOMES, ISSUE_HOMES
from fund.receipts.models import CoreDeposit, CoreReturn, Receipt, ShelfLot
from fund.receipts.quantities import UNITS, quantity_words
from fund.receipts.queries import core_for, cores_out, items_on_shelf
from fund.receipts.queries_statement import with_left


class IssueForm(OnceForm):
    """Something taken from the shelf for a repair, or for the shop."""

    item = forms.ChoiceField(label="What")
    quantity = QuantityField(label="How much")
    home = forms.ChoiceField(
        label="For",
        choices=[("", "a repair"), ("comeback", HOMES["comeback"].label)]
        + [(home, HOMES[home].label) for home in ISSUE_HOMES if HOMES[home].repair == "no"],
        required=False,
    )
    cost_object = forms.ChoiceField(label="Which repair", required=False)
    on = DayField(label="Day")
    late_reason = forms.CharField(
        label="Why after the hand-back",
        max_length=100,
        required=False,
        help_text="Only for a comeback of a repair that was handed back.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": clock.today(), **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        items = [
            (f"{unit}|{item}", f"{item}, {quantity_words(left, unit)} there")
            for item, unit, left in items_on_shelf()
        ]
        _choices(self, "item", [("", ""), *items])
        _choices(self, "cost_object", repair_choices())

    def clean_item(self) -> tuple[str, str]:
        """The unit and the item."""
        unit, _, item = self.cleaned_data["item"].partition("|")
        return unit, item

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        home = data.get("home") or "part"
        if HOMES[home].repair == "must" and not data.get("cost_object") and "cost_object" not in self.errors:
            self.add_error("cost_object", "Say which repair.")
        if HOMES[home].repair == "no":
            data["cost_object"] = ""
        return data


def _choices(form: BookForm, name: str, choices: list[tuple[str, str]]) -> None:
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)
    field.choices = choices


class CountForm(OnceForm):
    counted_quantity = QuantityField(label="How much is there", zero=True)
    on = DayField(label="Day of the count")


class RoundForm(OnceForm):
    """A round of the shelf: a box for each lot. What should be there is not shown, so that it is really counted."""

    on = DayField(label="Day of the count")

    def __init__(self, *args: Any, lots: Sequence[ShelfLot], **kwargs: Any) -> None:
        kwargs["initial"] = {"on": clock.today(), **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.lots = {f"lot_{lot.pk}": lot for lot in lots}
        for name, lot in self.lots.items():
            unit = "" if lot.unit == "each" else f", in {UNITS[lot.unit][1]}"
            self.fields[name] = QuantityField(
                label=f"{lot.item}, {lot.code} of {lot.on:%Y-%m-%d}{unit}", required=False, zero=True
            )

    def counted(self) -> dict[ShelfLot, int]:
        """What was written down; a lot left empty was not counted."""
        told = ((lot, self.cleaned_data.get(name)) for name, lot in self.lots.items())
        return {lot: quantity for lot, quantity in told if quantity is not None}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and not self.counted():
            self.add_error(None, "Write how much was found of at least one lot.")
        return data


class ReturnForm(BookForm):
    """How a core ended. The amount is worked out where there is only one it can be."""

    kind = forms.ChoiceField(label="How it ended", choices=CoreReturn.KINDS, widget=forms.RadioSelect)
    amount_back = MoneyFormField(
        label="Money back",
        required=False,
        help_text="Only when a part of it came back; the rest follows from above.",
    )
    tax_kept = MoneyFormField(
        label="Tax the store kept",
        required=False,
        help_text="If the deposit came back without the tax on it; the tax becomes a cost of the part.",
    )
    to = forms.ChoiceField(
        label="Where the money went",
        choices=[
            ("bank", "The fund's account"),
            ("bill", "Set against a bill of the store"),
            ("store_credit", "Store credit"),
            ("petty_cash", "Petty cash"),
            ("crew", "A crew member's own card"),
        ],
    )
    bill = forms.ModelChoiceField(
        Receipt.objects.none(),
        label="Which bill",
        required=False,
        empty_label="",
        help_text="If the store credited its account: that much less is to pay of it.",
    )
    person = CrewField(label="Whose card", required=False, help_text="They then owe it to the fund.")
    on = DayField(label="Day")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, core: CoreDeposit | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.core = core
        bills = Receipt.objects.filter(tender="supplier_bill", state="posted", bill_payment__isnull=True)
        bills = bills.filter(supplier=core.store_id) if core else bills
        rows = with_left(bills.select_related("supplier").order_by("on", "code"))
        words = {row.pk: f"{row.code} of {row.on}, {row.supplier}: {row.left}" for row in rows}  # type: ignore[attr-defined]
        field = self.fields["bill"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = bills.order_by("on", "code")
        field.label_from_instance = lambda bill: words.get(bill.pk, bill.code)  # type: ignore[method-assign,assignment]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        kind = data.get("kind")
        if kind == "full" and self.core:
            data["amount_back"] = data.get("amount_back") or self.core.amount - (
                data.get("tax_kept") or Money.zero
            )
        elif kind in ("refused", "lapsed"):
            data["amount_back"] = data.get("amount_back") or Money.zero
        elif kind == "part" and data.get("amount_back") is None and "amount_back" not in self.errors:
            self.add_error("amount_back", "Write how much came back.")
        if data.get("to") == "crew" and not data.get("person") and "person" not in self.errors:
            self.add_error("person", "Say whose card it went to.")
        if data.get("to") == "bill" and not data.get("bill") and "bill" not in self.errors:
            self.add_error("bill", "Say which bill.")
        return data


class HandedOverForm(ReturnForm):
    """A core that a counter took, by what the part is called; which deposit that ends follows from the receipt shown."""

    part = forms.ChoiceField(label="What was handed over")
    receipt = forms.CharField(
        label="Receipt that was shown",
        max_length=40,
        required=False,
        help_text="Its code or the store's number. Left empty: the oldest of that part at that store.",
    )
    field_order = ["part", "receipt"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": clock.today(), "kind": "full", **(kwargs.get("initial") or {})}
        super().__init__(*args, core=None, **kwargs)
        parts = [
            (f"{store}|{item}", f"{item}, {store}{f' ({many} out)' if many > 1 else ''}")
            for store, item, many in cores_out()
        ]
        _choices(self, "part", [("", ""), *parts])

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if not data.get("part"):
            return data
        data["store"], _, data["item"] = data["part"].partition("|")
        data["receipt"] = (data.get("receipt") or "").strip()
        self.core = core_for(data["item"], data["store"], data["receipt"])
        if self.core is None:
            self.add_error("receipt", f"{data['store']} holds no open core of that part from this receipt.")
            return data
        return super().clean()
