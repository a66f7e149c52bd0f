from typing import Any

from django import forms

from fund.forms import BookForm


class PublishForm(BookForm):
    """Whoever closed the month prepared it, and whoever publishes it reviewed it: neither is for choosing."""

    reason = forms.CharField(
        label="You closed it yourself: why nobody else reviews it",
        required=False,
        max_length=200,
        help_text="This is published with the month.",
    )

    def __init__(self, *args: Any, alone: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not alone:
            del self.fields["reason"]


class WordingForm(BookForm):
    text = forms.CharField(
        label="In public words",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What was wrong, why, and what was done. No name, street, plate or day.",
    )


class ConfirmForm(BookForm):
    """Nothing but the yes."""
