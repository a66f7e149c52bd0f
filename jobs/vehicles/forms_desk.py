from django import forms

from fund.forms import BookForm, DayField
from jobs.vehicles.rules_desk import FOUND, WAYS


class RecallForm(BookForm):
    """A look at open recalls. Which answer needs words is for the action."""

    found = forms.ChoiceField(
        label="What it showed",
        choices=list(FOUND.items()),
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what it showed."},
    )
    on = DayField(label="Looked up on")
    where = forms.CharField(
        label="Looked up at",
        max_length=120,
        required=False,
        help_text="The safety agency's page, the maker's, or the dealer you called.",
    )
    words = forms.CharField(
        label="What the recall is about",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="With its number, when one is open.",
    )


class NoticeForm(BookForm):
    """A word to an owner who does not come."""

    on = DayField(label="Day")
    way = forms.ChoiceField(label="How", choices=list(WAYS.items()))
    words = forms.CharField(
        label="What was said or written", max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )
    answer = forms.CharField(
        label="What came back", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
