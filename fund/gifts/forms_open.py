"""Forms of what is not finished about a gift: terms, disputes, benefits, exceptions, corrections."""

from typing import Any

from django import forms

from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.gifts.fields import SupporterField
from fund.gifts.models import Benefit
from fund.gifts.rules_terms import CONDITIONAL, EARMARKED, NATURES
from fund.ledger.models import Purpose

LONG = forms.Textarea(attrs={"rows": 3})


def words(label: str, help_text: str = "", required: bool = True) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=required,
        max_length=300,
        widget=forms.Textarea({"rows": 3}),
    )


class SettleForm(BookForm):
    """It is ours now. Only a deposit whose giver was not known asks who gave it."""

    on = DayField(label="Day of their word")
    words = words(
        "What allows it", "The giver's own words with their date, or the proof that the condition is met."
    )
    supporter = SupporterField(label="Supporter")
    purpose = forms.ModelChoiceField(
        label="Purpose",
        queryset=Purpose.objects.all(),
        empty_label=None,
        help_text="Anything but General only if the giver said so in words.",
    )

    def __init__(self, unknown: bool, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not unknown:
            del self.fields["supporter"], self.fields["purpose"]


class HoldBackForm(BookForm):
    nature = forms.ChoiceField(
        label="What it turned out to be",
        choices=[(nature, NATURES[nature].capitalize()) for nature in (EARMARKED, CONDITIONAL)],
    )
    terms = words("In the giver's words", "For whom, or on what condition.")
    on = DayField(label="Day it became known")


class CorrectForm(BookForm):
    amount = MoneyFormField(label="Right amount", above_zero=True)
    reason = words("How it came to the wrong one")


class DisputeForm(BookForm):
    on = DayField(label="Day the money was taken")
    platform_ref = forms.CharField(
        label="The platform's id of the dispute",
        max_length=80,
        help_text="So that its payout file finds it booked.",
    )
    fee = MoneyFormField(label="Fee for the dispute", required=False)
    reason = words("The reason given", required=False)


class DecideForm(BookForm):
    outcome = forms.ChoiceField(
        label="How it ended",
        choices=[("won", "Won: the money is back with the platform"), ("lost", "Lost: it stays gone")],
        widget=forms.RadioSelect,
    )
    on = DayField(label="Day of the decision")
    platform_ref = forms.CharField(
        label="The platform's id of the money that came back",
        max_length=80,
        required=False,
        help_text="Only if it was won.",
    )
    words = words("In a few words")


class SentElsewhereForm(OnceForm):
    amount = MoneyFormField(label="What was sent", above_zero=True)
    on = DayField(label="Day it was sent")
    words = words("How it came to it")


class BenefitForm(BookForm):
    name = forms.CharField(label="Name", max_length=80, help_text="As the letter will call it.")
    value = MoneyFormField(label="What a giver would pay for it", above_zero=True)
    cost = MoneyFormField(label="What it costs the fund")
    bears_name = forms.BooleanField(
        label="Bears the fund's name or sign",
        required=False,
        help_text="A token of little cost that does may be left out of account in a letter.",
    )


class OweForm(BookForm):
    benefit = forms.ModelChoiceField(label="Benefit", queryset=Benefit.objects.all(), empty_label=None)


class SendForm(BookForm):
    on = DayField(label="Day it went out")
    cost = MoneyFormField(
        label="What it cost", required=False, help_text="Leave empty if it cost what was planned."
    )


class ResolveForm(BookForm):
    words = words("What was found", "So that a reader in three years understands it.")


class ReasonForm(BookForm):
    reason = words("Why")
