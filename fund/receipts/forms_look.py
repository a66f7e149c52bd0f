from django import forms

from fund.forms import BookForm


class LookForm(BookForm):
    words = forms.CharField(
        label="What was found",
        max_length=300,
        widget=forms.Textarea({"rows": 3}),
        help_text="The reason in a few words, and who said so. A reader in three years should understand it.",
    )
