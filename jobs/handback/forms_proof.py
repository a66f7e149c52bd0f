"""Forms of the proof and of what comes after: check list, refusals, reminders, comebacks."""

from collections.abc import Sequence
from typing import Any

from django import forms

from fund.forms import BookForm, DayField
from jobs.handback.actions_handback import OUTCOMES
from jobs.handback.rules_proof import Answer, CheckLine
from jobs.repairs.forms import crew, whole, words

ANSWERS = [
    (Answer.YES.value, "Yes"),
    (Answer.NO.value, "No"),
    (Answer.NOT_HERE.value, "Does not apply, or later"),
]


class CheckListForm(BookForm):
    """One answer a line, none chosen beforehand; a note where it is not yes."""

    on = DayField(label="Day")

    def __init__(self, *args: Any, asked: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asked = list(asked)
        for place, text in enumerate(self.asked):
            self.fields[f"line{place}"] = forms.ChoiceField(
                label=text,
                choices=ANSWERS,
                widget=forms.RadioSelect,
                error_messages={"required": "Not answered."},
            )
            self.fields[f"note{place}"] = forms.CharField(
                label="Why not yes",
                required=False,
                max_length=200,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"line{place}"], self[f"note{place}"]) for place in range(len(self.asked))]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        data["lines"] = [
            CheckLine(text, data.get(f"line{place}", ""), data.get(f"note{place}", ""))
            for place, text in enumerate(self.asked)
        ]
        for place, line in enumerate(data["lines"]):
            if line.answer in (Answer.NO, Answer.NOT_HERE) and not line.note.strip():
                self.add_error(f"note{place}", "Say why in a few words.")
        return data


class WhyForm(BookForm):
    reason = words("Why", "Kept, and read years later.", rows=2)


class ReminderForm(BookForm):
    outcome = forms.ChoiceField(
        label="How did it go?",
        choices=list(OUTCOMES.items()),
        widget=forms.RadioSelect,
        error_messages={"required": "Say how it went."},
    )
    note = forms.CharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="What you measured or heard. Needed where it is not “all well”.",
    )


class ComebackForm(BookForm):
    complaint = words("What the owner says now", "In their own words: what, when, hot or cold.")
    same = forms.TypedChoiceField(
        label="Is it the same complaint?",
        choices=[("yes", "The same complaint"), ("no", "Another one that follows from the work")],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
        help_text="Something new that has nothing to do with the work is a new request for help.",
        error_messages={"required": "Say which."},
    )
    mileage_in = whole("Odometer now, miles")
    on = DayField(label="Day")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mechanic"] = crew()


class FaultForm(BookForm):
    ours = forms.TypedChoiceField(
        label="Whose fault is it?",
        choices=[("yes", "The crew's: the repair did not hold"), ("no", "Not the crew's: something else")],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say which."},
    )
    reason = words("What the two check-ins show", "Photos, codes and mileage, then and now.", rows=3)
