"""Forms of the owner's refusal: what was found, and the signature below the words."""

from typing import Any

from django import forms

from fund.forms import BookForm, DayField
from jobs.handback.actions_refusal import LONGEST
from jobs.handback.rules_refusal import LANGUAGES, PARTS, SIGN_HERE
from jobs.repairs.models import RepairOrder
from jobs.signing.forms import WORDS_ES, DrawnField, SigningForm, SignPad, owner_name


class UnsafeForm(BookForm):
    """What is unsafe, in the words that the owner reads; the signed paper comes with it, or they sign on the screen."""

    text = forms.CharField(
        label="What is unsafe",
        help_text="The part, and what was measured: left front ball joint, 6 mm of play. The owner reads it, so write it in "
        "their language if you can.",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    part = forms.ChoiceField(
        label="It is about",
        choices=[("", "Choose the part"), *PARTS.items()],
        required=False,
        help_text="For the page that the owner signs, which says why that is not safe.",
    )
    finding = forms.ModelChoiceField(
        RepairOrder.objects.none(), label="Found as", required=False, empty_label="Not among the findings"
    )
    language = forms.ChoiceField(label="The owner reads", choices=list(LANGUAGES.items()), required=False)
    on = DayField(label="Day")
    paper = forms.FileField(
        label="Photo or PDF of the signed paper",
        required=False,
        help_text="Once it is printed and signed. Not needed where the owner signs on the screen.",
        widget=forms.FileInput(
            attrs={"accept": "image/jpeg,image/png,image/heic,image/heif,application/pdf"}
        ),
    )

    def __init__(self, *args: Any, repair: RepairOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["finding"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = repair.findings.all()

    def words(self) -> dict[str, Any]:
        """What the owner's page is made from; call it after ``is_valid``."""
        return {name: self.cleaned_data[name] for name in ("text", "part", "language", "on")}

    @property
    def carried(self) -> list[forms.BoundField]:
        """What the page with the signature has to send again."""
        return [self[name] for name in ("text", "part", "finding", "language", "on")]


class SpanishPad(SignPad):
    words = WORDS_ES


class SignRefusalForm(SigningForm):
    """The box to sign in and the typed way, in the owner's language."""

    def __init__(self, *args: Any, language: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        box, name, tick = SIGN_HERE[language]
        self.fields["drawn"] = DrawnField(box)
        if language == "es":
            self.fields["drawn"].widget = SpanishPad()
        self.fields["signed_by"] = owner_name()
        self.fields["signed_by"].label = name
        self.fields["signed"].label = tick
