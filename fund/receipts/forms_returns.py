from typing import Any

from django import forms

from fund import clock
from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.money import Money
from fund.receipts.fields import CrewField, QuantityField
from fund.receipts.models import Receipt
from fund.receipts.models_returns import Claim, ClaimSettlement
from fund.receipts.queries_returns import bill_left

WAYS = [
    ("store", "Back to the store"),
    ("shelf", "Onto the shelf, unused"),
    ("warranty", "It failed: back to the store under warranty"),
    ("replaced", "It failed: exchanged at no charge"),
    ("rebate", "It stays; a rebate came"),
]


class GoBackForm(OnceForm):
    """A part that goes back, or money that came for one that stays."""

    way = forms.ChoiceField(label="What happens with it", choices=WAYS, widget=forms.RadioSelect)
    quantity = QuantityField(
        label="How much of it", required=False, help_text="Left empty: all that is there."
    )
    amount = MoneyFormField(label="Rebate", required=False, help_text="Only for a rebate.")
    on = DayField(label="Day")
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, *args: Any, left: int, goods: bool, **kwargs: Any) -> None:
        """``left`` in thousandths; ``goods``: whether it can lie on a shelf."""
        kwargs["initial"] = {"on": clock.today(), "way": "store", **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.left = left
        if not goods:
            field = self.fields["way"]
            assert isinstance(field, forms.ChoiceField)
            field.choices = [way for way in WAYS if way[0] != "shelf"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("way") == "rebate" and not data.get("amount") and "amount" not in self.errors:
            self.add_error("amount", "Write how much came.")
        if data.get("way") != "rebate" and data.get("quantity") is None and "quantity" not in self.errors:
            data["quantity"] = self.left
        return data


class UnusedForm(OnceForm):
    """A part of what was taken from the shelf that was not used."""

    quantity = QuantityField(label="How much comes back")
    on = DayField(label="Day")
    reason = forms.CharField(label="Why", max_length=200)


class SettleForm(OnceForm):
    """How a claim on a store ended, whole or in part."""

    kind = forms.ChoiceField(label="How it ended", choices=ClaimSettlement.KINDS, widget=forms.RadioSelect)
    amount = MoneyFormField(label="Amount", above_zero=True)
    person = CrewField(label="Whose card", required=False, help_text="They then owe it to the fund.")
    bill = forms.ModelChoiceField(
        Receipt.objects.none(),
        label="Which bill",
        required=False,
        empty_label="",
        help_text="If set against a bill.",
    )
    on = DayField(label="Day")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, claim: Claim, left: Money, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "on": clock.today(),
            "amount": left,
            "kind": "bank",
            **(kwargs.get("initial") or {}),
        }
        super().__init__(*args, **kwargs)
        field = self.fields["bill"]
        assert isinstance(field, forms.ModelChoiceField)
        bills = Receipt.objects.filter(supplier=claim.store, tender="supplier_bill", state="posted")
        field.queryset = bills.filter(bill_payment__isnull=True)
        field.label_from_instance = lambda bill: f"{bill.code} of {bill.on}: {bill_left(bill)}"  # type: ignore[method-assign,assignment]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("kind") == "crew" and not data.get("person") and "person" not in self.errors:
            self.add_error("person", "Say whose card it went to.")
        if data.get("kind") == "bill" and not data.get("bill") and "bill" not in self.errors:
            self.add_error("bill", "Say which bill.")
        return data


class PaidTwiceForm(BookForm):
    """A receipt found to be a second copy after it was paid back."""

    copy_of = forms.CharField(
        label="Which receipt it is a copy of", max_length=12, help_text="Its code, like R-00012."
    )
    on = DayField(label="Day it was found")

    def __init__(self, *args: Any, receipt: Receipt, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": clock.today(), **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.receipt = receipt

    def clean_copy_of(self) -> Receipt:
        code = self.cleaned_data["copy_of"].strip().upper()
        other = Receipt.objects.filter(code=code, state="posted").exclude(pk=self.receipt.pk).first()
        if other is None:
            raise forms.ValidationError(f"There is no other receipt {code} in the books.")
        return other


class BoxForm(BookForm):
    box = forms.CharField(label="Where it lies", max_length=60, help_text="Its own box, drained and capped.")


class LatePaidForm(BookForm):
    amount = MoneyFormField(label="Money that came", above_zero=True)
    on = DayField(label="Day")


class TaxClaimForm(OnceForm):
    on = DayField(label="Day it was claimed")
    note = forms.CharField(label="What was shown to the store", max_length=200, required=False)
