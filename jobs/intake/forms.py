from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms import BoundField

from fund.forms import BookForm, DayField
from jobs.households.models import Household
from jobs.households.rules import AREAS, LANGUAGES, MemberFacts
from jobs.intake.forms_parts import (
    IncomePart,
    PersonPart,
    QuestionsPart,
    TroublePart,
    VehiclePart,
    YesPart,
)
from jobs.intake.rules import CHANNELS, WEB, Asking

PERSON = ("name", "birth_date", "phone", "best_time", "email", "address", "language", "area")
VEHICLE = (
    "vehicle_class",
    "vehicle_year",
    "vehicle_words",
    "plate",
    "vin",
    "mileage",
    "registered_on",
    "drivable",
)
TROUBLE = ("complaint", "need", "need_words", "other_way")
MONEY = ("program", "no_income_words")
OF_HOUSEHOLD = (*PERSON, *MONEY)


class AskingForm(QuestionsPart, PersonPart, IncomePart, VehiclePart, TroublePart, YesPart):
    """The whole request on one page, for a call taken by the crew: the parts of the public form, and how it came in."""

    submitted_on = DayField(label="Asked on")
    channel = forms.ChoiceField(
        label="How it came in", choices=[(key, words) for key, words in CHANNELS.items() if key != WEB]
    )
    referral = forms.CharField(
        label="Sent by", max_length=120, required=False, help_text="Who sent them to us, if anyone did."
    )
    language = forms.ChoiceField(label="Language they speak best", choices=list(LANGUAGES.items()))
    area = forms.ChoiceField(label="They live in", choices=list(AREAS.items()))

    def __init__(self, *args: Any, known: Household | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if known:
            for name in OF_HOUSEHOLD:
                del self.fields[name]

    def sections(self) -> Iterator[tuple[str, str, str, list[BoundField]]]:
        """Heading, a word of help, the rows that stand there ("people", "incomes" or none), and the boxes."""
        no_words = "A “no” may mean that we cannot help; say so kindly before going on."
        parts: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
            ("First questions", no_words, "", self._starting("ask_")),
            ("Who is asking", "", "", ("submitted_on", "channel", "referral", *PERSON)),
            ("The people of the household", "", "people", ()),
            ("The money that comes in", "As they tell it; papers come later.", "incomes", MONEY),
            ("The vehicle", "", "", VEHICLE),
            ("What is wrong, and what it is needed for", "", "", TROUBLE),
            (
                "What they agree to",
                "Read each line out and tick it only after a yes.",
                "",
                self._starting("yes_"),
            ),
        )
        for heading, words, rows, names in parts:
            yield heading, words, rows, [self[name] for name in names if name in self.fields]

    def _starting(self, start: str) -> tuple[str, ...]:
        return tuple(name for name in self.fields if name.startswith(start))

    def asking(self, known: Household | None) -> Asking:
        """The form as one request. Call after ``is_valid``."""
        given = self.cleaned_data
        own = given if known is None else of_household(known)
        names = (*VEHICLE, *TROUBLE, "channel", "referral")
        return Asking(
            **{name: own[name] for name in OF_HOUSEHOLD},
            **{name: given[name] for name in names},
            answers=self.answers(),
            consents=self.consents(),
        )

    def applicant(self) -> MemberFacts:
        return applicant(self)


def of_household(known: Household) -> dict[str, Any]:
    names = ("phone", "email", "address", "language", "area", "program", "no_income_words")
    told = {name: getattr(known, name) for name in names}
    return {"name": known.applicant_name, "birth_date": None, "best_time": "", **told}


def applicant(form: BookForm) -> MemberFacts:
    given = form.cleaned_data
    return MemberFacts(name=given["name"], relation="applicant", adult=True, birth_date=given["birth_date"])
