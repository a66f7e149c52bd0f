"""The part of the receipt form that most papers leave empty: shipping, discount, lost, late and handwritten papers."""

from typing import Any

from django import forms

from fund.forms import MoneyFormField, OnceForm
from fund.money import Money
from fund.receipts.fields import CrewField

ODD = ("late_reason", "freight", "discount", "credit_used", "missing", "missing_how", "witness")


class OddPaperForm(OnceForm):
    """``seen`` is the draft as it was when the form was opened (``fingerprint``). ``doubtful`` carries what was doubtful on
    the photo until somebody changes it (``filling.kept``).
    """

    seen = forms.CharField(required=False, max_length=24, widget=forms.HiddenInput)
    doubtful = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)
    taxed_so = forms.BooleanField(label="The paper has the tax as it is ticked", required=False)
    freight = MoneyFormField(
        label="Shipping", required=False, help_text="Spread over the lines by their amounts."
    )
    discount = MoneyFormField(
        label="Discount on the whole receipt",
        required=False,
        help_text="Without a minus; spread like shipping.",
    )
    credit_used = MoneyFormField(
        label="Store credit used",
        required=False,
        help_text="When the store took off a credit of the fund and the rest was paid as said above.",
    )
    late_reason = forms.CharField(
        label="If it is late, or after the repair ended: why",
        required=False,
        max_length=200,
    )
    missing = forms.BooleanField(label="The receipt is lost", required=False)
    missing_how = forms.CharField(
        label="How it was lost, and how the amount is known",
        required=False,
        max_length=300,
        help_text="Put the card slip where the photo goes. Somebody else looks at it and posts it; there are limits.",
    )
    missing_signed = forms.BooleanField(
        label="I sign that I bought this for the fund and have not been paid back for it", required=False
    )
    witness = CrewField(
        label="Second person who saw it paid",
        required=False,
        help_text="For a used part bought with cash on a handwritten bill. They post the receipt, signed in themselves.",
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for name in ("tax", "freight", "discount", "credit_used"):
            if name not in self.errors:
                data[name] = data.get(name) or Money.zero
        if data.get("missing"):
            if not data.get("missing_how") and "missing_how" not in self.errors:
                self.add_error("missing_how", "Say how it was lost, and how the amount is known.")
            if not data.get("missing_signed"):
                self.add_error("missing_signed", "Without a receipt your signature stands for it.")
        return data

    @property
    def odd_open(self) -> bool:
        """Whether the folded part holds something to be seen."""
        names = ("freight", "discount", "credit_used", "late_reason", "missing", "missing_how", "witness")
        empty = ("", None, False, Money.zero, "0.00")
        return any(self[name].value() not in empty or self.errors.get(name) for name in names)
