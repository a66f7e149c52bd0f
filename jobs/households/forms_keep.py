from typing import Any

from django import forms

from fund.forms import BookForm, DayField
from jobs.households.rules_keep import DONE, SHOWED
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS


class HoldForm(BookForm):
    reason = forms.CharField(
        label="Why nothing may be destroyed",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="An investigation, a dispute, a claim. An owner or treasurer lifts the hold.",
    )


class SureForm(BookForm):
    """No box of its own: a button that is pressed, and the place for a refusal."""


class ConsentForm(BookForm):
    key = forms.ChoiceField(label="To what", choices=list(CONSENTS.items()), widget=forms.RadioSelect)
    given = forms.ChoiceField(
        label="The household now says",
        choices=[("no", "No: it takes the yes back."), ("yes", "Yes.")],
        widget=forms.RadioSelect,
    )
    on = DayField(label="Said on")
    words = forms.CharField(
        label="What was said, and what was done about it",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What was taken down, and which copies by others cannot be called back. The household may see this.",
    )

    def __init__(self, *args: Any, application: Application, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.application = application

    def answers(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        return {**cleaned, "given": cleaned["given"] == "yes"}


class PutRightForm(BookForm):
    showed = forms.ChoiceField(
        label="What was to be seen", choices=list(SHOWED.items()), widget=forms.RadioSelect
    )
    where = forms.CharField(
        label="Where",
        max_length=300,
        help_text="The page, the post, the video with its minute. Sealed; never public.",
    )
    done = forms.ChoiceField(label="What was done", choices=list(DONE.items()), widget=forms.RadioSelect)
    on = DayField(label="Done on")
    words = forms.CharField(
        label="More",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Copies that others made and that nobody can call back. The household may see this.",
    )
