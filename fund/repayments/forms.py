from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fund import clock
from fund.access.second import signature_fields
from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.money import Money
from fund.receipts.fields import CrewField
from fund.receipts.models import Receipt
from fund.repayments.models import Mileage
from fund.repayments.queries import OpenClaim
from fund.repayments.rules import miles_text


class ClaimsForm(BookForm):
    """Open claims of one person: receipts, and miles if there are any."""

    receipts = forms.ModelMultipleChoiceField(
        Receipt.objects.none(), label="Receipts", required=False, widget=forms.CheckboxSelectMultiple
    )
    mileage = forms.ModelMultipleChoiceField(
        Mileage.objects.none(), label="Miles", required=False, widget=forms.CheckboxSelectMultiple
    )
    on = DayField(label="Day", future=True)

    def __init__(self, *args: Any, claims: Sequence[OpenClaim], **kwargs: Any) -> None:
        chosen = {
            "receipts": [claim.receipt.pk for claim in claims if claim.receipt],
            "mileage": [claim.mileage.pk for claim in claims if claim.mileage],
        }
        kwargs["initial"] = {"on": clock.today(), **chosen}
        super().__init__(*args, **kwargs)
        words = {claim.code: _label(claim) for claim in claims}
        for name, model in (("receipts", Receipt), ("mileage", Mileage)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelMultipleChoiceField)
            field.queryset = model._default_manager.filter(pk__in=chosen[name]).order_by("on", "code")
            field.label_from_instance = lambda row: words[row.code]  # type: ignore[method-assign,assignment]
            if not chosen[name]:
                del self.fields[name]


def _label(claim: OpenClaim) -> str:
    photo = "" if claim.photo else ", no photo"
    flag = f" ({claim.flag})" if claim.flag else ""
    return f"{claim.code} of {claim.on:%Y-%m-%d}, {claim.what}: {claim.amount}{photo}{flag}"


class PrepareForm(ClaimsForm):
    """What is paid back together, and how."""

    on = DayField(label="Day the money goes out", future=True)
    way = forms.ChoiceField(
        label="How", choices=[("transfer", "bank transfer"), ("check", "check")], required=False
    )
    check_number = forms.CharField(label="Number of the check", max_length=30, required=False)
    keep = forms.BooleanField(
        label="Set what they owe the fund or hold in advance against it", required=False
    )

    papers_seen = forms.BooleanField(
        label="I have looked at the papers of the receipts without a photo",
        required=False,
        help_text="Without a photo only who looks at the paper itself can tell that there was a purchase.",
    )

    def __init__(self, *args: Any, keep: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not any(claim.unseen for claim in kwargs["claims"]):
            del self.fields["papers_seen"]
        if keep:
            self.fields["keep"].initial = True
        else:
            del self.fields["keep"]

    def clean_way(self) -> str:
        return self.cleaned_data["way"] or "transfer"


class GiveForm(ClaimsForm):
    """Claims that the member gives to the fund instead of being paid."""

    on = DayField(label="Day of the gift")
    signed = forms.CharField(
        label="Your full name, as a signature",
        max_length=120,
        help_text="The fund could pay you. You give it the money instead, as a gift.",
    )


class ReleaseForm(BookForm):
    on = DayField(label="Day the money went out")


class ReasonForm(BookForm):
    reason = forms.CharField(label="Why", max_length=150)


class SettleForm(OnceForm):
    amount = MoneyFormField(label="Amount paid back", above_zero=True)
    on = DayField(label="Day it came into the bank")


class FloatForm(OnceForm):
    """The sum petty cash is kept at, and the signature of the second person, who sees the money go from hand to hand."""

    amount = MoneyFormField(label="Sum petty cash is kept at", help_text="100 to 200 dollars is usual.")
    on = DayField(label="Day")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= signature_fields("Typed by the second person, who saw the money moved.")


class DayForm(BookForm):
    on = DayField(label="Day")


class PettyCountForm(OnceForm):
    """What two people found in the box, and the second person's signature: their own name and password."""

    counted = MoneyFormField(label="Cash in the box")
    on = DayField(label="Day of the count")
    note = forms.CharField(label="Note", max_length=200, required=False, help_text="Say why when it differs.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= signature_fields("Typed by the second person, who has counted too.")


class TenthsField(forms.CharField):
    """A number with at most one place, as whole tenths: 37.5 gives 375."""

    widget = forms.TextInput(attrs={"class": "number short", "inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> Any:
        text = (super().to_python(value) or "").replace(",", "")
        if not text:
            return None
        whole, _, part = text.partition(".")
        if (
            not (whole or "0").isdecimal()
            or not whole.isascii()
            or not (part or "0").isdecimal()
            or len(part) > 1
        ):
            raise ValidationError("Write a number with at most one place, like 37 or 37.5.", code="invalid")
        return int(whole or 0) * 10 + int(part or 0)

    def prepare_value(self, value: Any) -> Any:
        return miles_text(value) if isinstance(value, int) else value


class MileageForm(OnceForm):
    person = CrewField(label="Who drove", empty_label=None)
    on = DayField(label="Day")
    tenths = TenthsField(label="Miles", help_text="There and back, by the odometer.")
    reason = forms.CharField(
        label="Where to and why",
        max_length=120,
        help_text="For example: Gantry Parts and back, parts for RO-0004.",
    )


class RateForm(BookForm):
    tenths = TenthsField(label="Cents a mile")
    valid_from = DayField(label="Valid from", future=True)
    source = forms.CharField(label="Source and its date", max_length=200)


class AdvanceForm(OnceForm):
    amount = MoneyFormField(label="Amount", above_zero=True)
    reason = forms.CharField(label="What it is to buy", max_length=160)
    on = DayField(label="Day the money goes out", future=True)


class AdvanceBackForm(OnceForm):
    amount = MoneyFormField(label="Amount that came back", above_zero=True)
    on = DayField(label="Day it came into the bank")


class OverpaidForm(OnceForm):
    amount = MoneyFormField(label="Amount that went out by mistake", above_zero=True)
    out_of = forms.ChoiceField(
        label="Out of", choices=[("bank", "the bank account"), ("petty cash", "petty cash")]
    )
    on = DayField(label="Day it went out")
    reason = forms.CharField(label="How it happened", max_length=150)


class StopForm(BookForm):
    on = DayField(label="Day the bank stopped it")
    bank_fee = MoneyFormField(label="What the bank charged", required=False)
    reason = forms.CharField(label="Why", max_length=150, help_text="For example: lost in the mail.")

    def clean_bank_fee(self) -> Money:
        return self.cleaned_data["bank_fee"] or Money.zero
