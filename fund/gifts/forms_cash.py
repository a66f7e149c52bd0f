"""Forms of the cash count and the deposit."""

from typing import Any

from django import forms

from fund import clock
from fund.access.second import NAME, PASSWORD, signature_fields
from fund.forms import DayField, MoneyFormField, OnceForm, WholeField
from fund.gifts.actions_cash import Spent
from fund.gifts.queries import Unbanked
from fund.gifts.rules import DENOMINATIONS
from fund.ledger import chart
from fund.ledger.models import CostObject
from fund.money import Money
from fund.templatetags.money import money

SPENT_ON = {chart.PARTS: "A part for a repair", chart.SUPPLIES: "Shop supplies", chart.TOOLS: "A small tool"}
EARLY = ("spent_amount", "spent_on", "spent_words", "spent_for")


class CountForm(OnceForm):
    """How many of each bill and coin, and the second person's signature: their own name and password."""

    on = DayField(label="Day of the count")
    place = forms.CharField(
        label="Where the cash came from", max_length=120, help_text="Which jar, box or event."
    )
    receipts = MoneyFormField(
        label="Total of the receipt book",
        required=False,
        help_text="Leave empty if no receipts were written.",
    )
    note = forms.CharField(
        label="Note", required=False, max_length=300, help_text="Needed when count and receipt book differ."
    )
    spent_amount = MoneyFormField(
        label="Spent from the cash before it was counted",
        required=False,
        help_text="It should not happen. Count what is left; all that came in is the gift.",
    )
    spent_on = forms.ChoiceField(label="Spent on", choices=[("", ""), *SPENT_ON.items()], required=False)
    spent_words = forms.CharField(label="What was bought", required=False, max_length=200)
    spent_for = forms.ModelChoiceField(
        label="For the repair",
        queryset=CostObject.objects.order_by("-code"),
        required=False,
        empty_label="none",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for face in DENOMINATIONS:
            self.fields[f"face_{face}"] = WholeField(
                label=f"{Money(face).dollars}",
                required=False,
                min_value=0,
                max_value=100_000,
                widget=forms.TextInput(
                    attrs={"class": "number narrow", "inputmode": "numeric", "autocomplete": "off"}
                ),
            )
        self.fields |= signature_fields("Typed by the second person, who has counted too.")
        self.fields["on"].initial = self.fields["on"].initial or clock.today

    def faces(self) -> list[forms.BoundField]:
        return [self[f"face_{face}"] for face in DENOMINATIONS]

    def head(self) -> list[forms.BoundField]:
        return [self[name] for name in ("on", "place")]

    def foot(self) -> list[forms.BoundField]:
        return [self[name] for name in ("receipts", "note")]

    def early(self) -> list[forms.BoundField]:
        return [self[name] for name in EARLY]

    def early_open(self) -> bool:
        """Something was typed about money spent early, so its part of the form is not folded away."""
        return self.is_bound and any(self[name].value() for name in EARLY)

    def spent(self) -> list[Spent]:
        told = self.cleaned_data
        if not any(told[name] for name in EARLY):
            return []
        amount = told["spent_amount"] or Money.zero
        return [Spent(amount, told["spent_on"], told["spent_words"], told["spent_for"])]

    def signature(self) -> list[forms.BoundField]:
        return [self[name] for name in (NAME, PASSWORD)]

    def denominations(self) -> dict[int, int]:
        return {face: self.cleaned_data.get(f"face_{face}") or 0 for face in DENOMINATIONS}


class ScrapForm(CountForm):
    """Cash that a yard paid for scrap: what it was, the count, and the second person's signature."""

    what = forms.CharField(
        label="What was sold", max_length=60, help_text="Old rotors, a bent rim, dead batteries."
    )
    yard = forms.CharField(label="Yard that paid", max_length=50)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("place", "receipts", *EARLY):
            del self.fields[name]
        self.fields["note"].help_text = "The yard's ticket, if it wrote one."

    def head(self) -> list[forms.BoundField]:
        return [self[name] for name in ("on", "what", "yard", "note")]


class DepositForm(OnceForm):
    """The counts and checks that go to the bank together."""

    on = DayField(label="Day of the deposit")
    chosen = forms.MultipleChoiceField(
        label="What goes to the bank",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose the counts and checks that go to the bank."},
    )
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, waiting: list[Unbanked], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waiting = {one.code: one for one in waiting}
        chosen = self.fields["chosen"]
        assert isinstance(chosen, forms.MultipleChoiceField)
        chosen.choices = [(one.code, f"{money(one.amount)} {one.what}, {one.on}") for one in waiting]
        self.fields["on"].initial = clock.today

    def picked(self) -> list[Unbanked]:
        return [self.waiting[code] for code in self.cleaned_data["chosen"]]
