from django import forms

from fund.forms import BookForm
from jobs.hours.rules_book import CAUSES


class WhyForm(BookForm):
    cause = forms.ChoiceField(label="What it was", choices=list(CAUSES.items()), widget=forms.RadioSelect)
    words = forms.CharField(
        label="In a few words",
        required=False,
        max_length=200,
        help_text="What the next one on such a job should know. Needed only for something else.",
    )
