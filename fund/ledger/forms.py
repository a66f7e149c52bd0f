from typing import Any

from django import forms

from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.ledger.models import Account, Purpose
from fund.ledger.rules import LineDraft
from fund.ledger.rules_hand import HAND_ACCOUNTS

HAND_ROWS = 6


class PurposeForm(BookForm):
    name = forms.CharField(
        label="What the money may be used for", max_length=80, help_text="Short, like “Tires”."
    )
    code = forms.SlugField(
        label="Code",
        max_length=30,
        help_text="Small letters and dashes, like tires. It cannot be changed later.",
    )
    giver_words = forms.CharField(
        label="The giver's own words",
        max_length=300,
        required=False,
        help_text="A wish is not a restriction: open a purpose only when the giver bound the money to it.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class HandEntryForm(OnceForm):
    day = DayField(
        label="Date of the document", help_text="Of the bill or the bank line, not the day you post it."
    )
    text = forms.CharField(label="What it is for", max_length=200, help_text="Like “Insurance, March”.")


class HandLineForm(BookForm):
    """One line; empty rows are left out."""

    account = forms.ModelChoiceField(
        label="Account",
        queryset=Account.objects.filter(code__in=HAND_ACCOUNTS),
        required=False,
        empty_label="",
    )
    purpose = forms.ModelChoiceField(
        label="Purpose", queryset=Purpose.objects.all(), required=False, initial="general"
    )
    debit = MoneyFormField(label="Debit", required=False)
    credit = MoneyFormField(label="Credit", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        amounts = [cleaned[side] for side in ("debit", "credit") if cleaned.get(side)]
        if amounts and not cleaned.get("account") and "account" not in self.errors:
            self.add_error("account", "Choose the account of this amount.")
        if len(amounts) == 2:
            self.add_error("credit", "A line has a debit or a credit, not both.")
        if cleaned.get("account") and not amounts and not self.errors:
            self.add_error("debit", "Write the amount of this line.")
        return cleaned

    def draft(self) -> LineDraft | None:
        """The line, or None for a row left empty."""
        account, purpose = self.cleaned_data.get("account"), self.cleaned_data.get("purpose")
        debit, credit = self.cleaned_data.get("debit"), self.cleaned_data.get("credit")
        amount = debit or (-credit if credit else None)
        if not account or not amount:
            return None
        return LineDraft(account.pk, amount, purpose.pk if purpose else "general")


HandLines = forms.formset_factory(HandLineForm, extra=HAND_ROWS, max_num=20)


class ReasonForm(BookForm):
    reason = forms.CharField(label="Why it is taken back", max_length=150)
