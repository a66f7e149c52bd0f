"""Forms of held checks, hand-overs, restrictions, loans, pledges, rates and of merging supporters."""

from collections.abc import Iterable
from typing import Any

from django import forms

from fund import clock
from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.gifts.fields import RateField, SupporterField
from fund.gifts.forms_open import words
from fund.gifts.models import Gift, Supporter
from fund.gifts.rules_restrictions import CHANGES
from fund.ledger.models import Purpose
from fund.templatetags.money import money


class HeldCheckForm(OnceForm):
    supporter = SupporterField(label="Supporter")
    amount = MoneyFormField(label="Amount", above_zero=True)
    check_number = forms.CharField(
        label="Check number", max_length=30, widget=forms.TextInput(attrs={"class": "short"})
    )
    dated_on = DayField(label="Date on the check", future=True)
    arrived_on = DayField(label="Day it came")
    purpose = forms.ModelChoiceField(label="Purpose", queryset=Purpose.objects.all(), empty_label=None)
    note = forms.CharField(label="Note", required=False, max_length=300)


class HandBackForm(BookForm):
    on = DayField(label="Day it goes back")
    why = words("Why it goes back")


class HandOverForm(OnceForm):
    """Gifts on crew members' own accounts, of which one person brings some to the bank."""

    on = DayField(label="Day of the transfer")
    chosen = forms.MultipleChoiceField(
        label="Gifts that come to the bank",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose the gifts that one person brings to the bank."},
    )

    def __init__(self, waiting: Iterable[Gift], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waiting = {gift.code: gift for gift in waiting}
        chosen = self.fields["chosen"]
        assert isinstance(chosen, forms.MultipleChoiceField)
        chosen.choices = [
            (gift.code, f"{money(gift.amount)} of {gift.supporter}, with {gift.held_by}, {gift.received_on}")
            for gift in self.waiting.values()
        ]
        self.fields["on"].initial = clock.today

    def picked(self) -> list[Gift]:
        return [self.waiting[code] for code in self.cleaned_data["chosen"]]


class RestrictionForm(BookForm):
    kind = forms.ChoiceField(
        label="What is to become of it", choices=[(key, text.capitalize()) for key, text in CHANGES.items()]
    )
    purpose = forms.ModelChoiceField(
        label="Purpose", queryset=Purpose.objects.filter(restricted=True), empty_label=None
    )
    amount = MoneyFormField(
        label="Amount",
        required=False,
        above_zero=True,
        help_text="Not for a gift that goes back: it goes back whole.",
    )
    gift = forms.CharField(
        label="Gift that goes back",
        required=False,
        max_length=12,
        help_text="Its code, like G-00012; only when it is sent back.",
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )
    words = words(
        "In writing",
        "The giver's own words with their date; for a repayment, what was spent on the wrong thing.",
    )
    on = DayField(label="Day of the writing")

    def clean_gift(self) -> Gift | None:
        code = self.cleaned_data["gift"].strip()
        found = Gift.objects.filter(code__iexact=code).first() if code else None
        if code and found is None:
            raise forms.ValidationError(f"There is no gift “{code}”.")
        return found


class RestrictionDecisionForm(BookForm):
    agreed = forms.ChoiceField(
        label="Your decision",
        choices=[("yes", "Yes, the writing allows it"), ("no", "No")],
        widget=forms.RadioSelect,
    )


class LoanForm(OnceForm):
    lender = SupporterField(label="Lender")
    amount = MoneyFormField(label="Amount", above_zero=True)
    on = DayField(label="Day it came to the bank")
    words = words("What for, and until when")


class RepayForm(OnceForm):
    amount = MoneyFormField(label="Amount", above_zero=True)
    on = DayField(label="Day it was paid back")


class ForgiveForm(OnceForm):
    amount = MoneyFormField(label="Amount", above_zero=True)
    on = DayField(label="Day of the writing")
    words = words("The lender's own words")


class PledgeForm(OnceForm):
    supporter = SupporterField(label="Supporter")
    amount = MoneyFormField(label="Amount", above_zero=True)
    due_on = DayField(label="When", future=True)
    monthly = forms.BooleanField(label="Every month from then on", required=False)
    words = words("In their words", required=False)


class RateForm(BookForm):
    currency = forms.CharField(
        label="Currency", max_length=3, min_length=3, widget=forms.TextInput(attrs={"class": "short"})
    )
    on = DayField(label="Day")
    rate = RateField(label="Our money for one unit of it", help_text="Like 1.0850.")
    source = forms.CharField(label="Where it was published", max_length=120)


class HoldForm(BookForm):
    since = DayField(label="Held since")
    words = words("What the platform says", "And when it means to pay out.")


class DayForm(BookForm):
    on = DayField(label="Day")


class MergeForm(BookForm):
    """The other supporter; everything of theirs goes to the one whose page this is."""

    gone = SupporterField(
        label="The other one", help_text="Code, e-mail or whole name. Their gifts come here."
    )
    reason = words("How you know that the two are one")

    def __init__(self, kept: Supporter, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kept = kept

    def clean_gone(self) -> Supporter:
        gone: Supporter = self.cleaned_data["gone"]
        if gone.pk == self.kept.pk:
            raise forms.ValidationError("This is the same supporter. Write the code of the other one.")
        return gone


class EraseForm(BookForm):
    words = words("The request", "Who asked for it, when and how.")
