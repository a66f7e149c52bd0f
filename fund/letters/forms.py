from typing import Any

from django import forms

from fund import clock
from fund.forms import BookForm, MoneyFormField
from fund.letters.models import TokenLimit


class WriteForm(BookForm):
    """Writes what the page shows; the box is there only when a gift stands in a letter already."""

    again = forms.BooleanField(
        label="Name gifts again that stand in another letter",
        required=False,
        help_text="Both letters then say so, and that the gift counts once.",
    )


class ReasonForm(BookForm):
    reason = forms.CharField(
        label="Why it is withdrawn", max_length=200, help_text="For example: check 1207 came back."
    )


class LimitForm(BookForm):
    """A year's three figures. That they stand as 1 to 5 to 10 is seen to by the action."""

    year = forms.IntegerField(
        label="Year",
        min_value=1990,
        max_value=2199,
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    low_cost = MoneyFormField(
        label="A small article costs at most",
        above_zero=True,
        help_text="What it costs the fund, not its price.",
    )
    floor = MoneyFormField(
        label="For a gift from", above_zero=True, help_text="Always five times the first figure."
    )
    cap = MoneyFormField(
        label="Benefit worth 2% of the gift, at most",
        above_zero=True,
        help_text="Always ten times the first figure.",
    )
    procedure = forms.CharField(label="Revenue procedure", max_length=60)
    source = forms.CharField(label="Where you read it", max_length=200)
    seen = forms.ChoiceField(label="How it is known", choices=TokenLimit.SEEN, initial="read")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"year": clock.today().year})
        super().__init__(*args, **kwargs)
