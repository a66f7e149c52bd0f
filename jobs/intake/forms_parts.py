"""What is asked, part by part: the same boxes on the public form and on the page of a call taken by the crew.

All words can be shown in English and Spanish (jobs/locale). They are put so that both a screener can read them out and
the person asking can read them alone.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fund import clock
from fund.forms import PLAIN, BookForm, DayBox, DayField, MoneyFormField, WholeField
from fund.refusal import BadInput
from jobs.households.rules import KINDS, PROGRAMS, RELATIONS, IncomeFacts, check_income, parse_hours
from jobs.intake.rules import ANSWERS, CLASSES, CONSENTS, DRIVABLE, NEEDS, OTHER_WAYS, QUESTIONS

Choices = list[tuple[Any, Any]]
TOLD_PERIODS = {
    "hourly": "for each hour",
    "weekly": "each week",
    "two weeks": "every two weeks",
    "twice a month": "twice a month",
    "monthly": "each month",
    "yearly": "each year",
}
LONGEST = 3000


def box_name(prefix: str, key: str) -> str:
    return f"{prefix}_{key.replace(' ', '_')}"


def words_of(choices: Mapping[str, str], keys: Iterable[str] = ()) -> Choices:
    """The choices in the language of the page."""
    return [(key, _(choices[key])) for key in keys or choices]


def choose(label: Any, choices: Choices, **more: Any) -> forms.ChoiceField:
    """A list with nothing chosen at first, because the first line would otherwise become the answer."""
    return forms.ChoiceField(
        label=label,
        choices=[("", _("choose")), *choices],
        error_messages={"required": _("Choose one.")},
        **more,
    )


def text(
    label: Any, longest: int, help_text: Any = "", required: bool = False, **attrs: str
) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=longest, help_text=help_text, required=required, widget=forms.TextInput(attrs)
    )


def story(label: Any, rows: int, help_text: Any = "", required: bool = False) -> forms.CharField:
    box = forms.Textarea(attrs={"rows": rows})
    return forms.CharField(
        label=label, help_text=help_text, required=required, max_length=LONGEST, widget=box
    )


class AskedNumber(WholeField):
    """A whole number; a point between thousands is read as one too, as Spanish writes it: 125.000."""

    def to_python(self, value: Any) -> int | None:
        if isinstance(value, str) and re.fullmatch(r"\d{1,3}(?:\.\d{3})+", value.strip()):
            value = value.replace(".", "")
        return super().to_python(value)


def number(label: Any, low: int, high: int, help_text: Any = "") -> forms.IntegerField:
    box = forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "autocomplete": "off"})
    field = AskedNumber(
        label=label, min_value=low, max_value=high, help_text=help_text, required=False, widget=box
    )
    field.error_messages["invalid"] = _("Write a whole number.")
    return field


class AskedDay(DayField):
    """A day in the past, with what is wrong told in the language of the page."""

    widget = DayBox

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except ValidationError as refusal:
            raise ValidationError(
                gettext("Write a day that has been, like 1990-12-31."), code="day"
            ) from refusal


class AskedMoney(MoneyFormField):
    """An amount, with what is wrong told in the language of the page."""

    default_error_messages = {"required": _("Write an amount.")}

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except ValidationError as refusal:
            raise ValidationError(gettext("Write the amount like 450 or 450.50."), code="amount") from refusal


class AskedHours(forms.CharField):
    """Hours a week, in tenths at most ("37.5"), given in hundredths; what is wrong is told in the language of the page."""

    widget = forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            hours = parse_hours(text.replace(",", "."))
        except BadInput as refusal:
            words = gettext("Write the hours of a week like 40 or 37.5. A week has 168.")
            raise ValidationError(words, code="hours") from refusal
        if hours % 10:
            raise ValidationError(
                gettext("Tenths of an hour are close enough. Write it like 37.5."), code="hours"
            )
        return hours


class AskForm(BookForm):
    """Base of what is asked in more than one language."""

    plain = {
        **PLAIN,
        "required": _("Please fill this in."),
        "invalid_choice": _("Choose one."),
        "invalid_list": _("Choose one."),
        "whole": _("Write a whole number."),
        "figure": _("Write a whole number."),
        "email": _("This is not an e-mail address. Look at it again, or leave it empty."),
        "max_length": _("This is too long. Please say it in fewer words."),
        "min_value": _("This must be %(limit_value)s or more."),
        "max_value": _("This must be %(limit_value)s or less."),
        "null_characters_not_allowed": _("Please type this again."),
    }


class QuestionsPart(AskForm):
    """The first questions: a “no” may end it before anyone tells more."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, words in QUESTIONS.items():
            self.fields[box_name("ask", key)] = forms.ChoiceField(
                label=_(words), choices=words_of(ANSWERS), required=False, widget=forms.RadioSelect
            )

    def answers(self) -> dict[str, str]:
        return {key: self.cleaned_data[box_name("ask", key)] for key in QUESTIONS}


class PersonPart(AskForm):
    name = text(
        _("Name"), 120, _("First and last names, as on the papers."), required=True, autocomplete="name"
    )
    birth_date = AskedDay(label=_("Date of birth"), required=False)
    phone = text(_("Phone"), 40, type="tel", autocomplete="tel")
    best_time = text(_("Best time to call"), 80)
    email = forms.EmailField(label=_("E-mail"), max_length=254, required=False)
    address = text(_("Address"), 240, _("Street, number and town."), autocomplete="street-address")


class PersonRow(AskForm):
    """Someone beside the person asking."""

    name = text(_("Name"), 120, required=True)
    relation = forms.ChoiceField(
        label=_("Who they are"),
        choices=words_of(RELATIONS, [key for key in RELATIONS if key != "applicant"]),
        initial="child",
    )
    birth_year = number(_("Year of birth"), 1900, 2199)
    adult = forms.BooleanField(label=_("18 or older"), required=False)
    number = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def clean_birth_year(self) -> int | None:
        year: int | None = self.cleaned_data["birth_year"]
        if year is not None and year > clock.today().year:
            raise ValidationError(gettext("This year has not come yet. Write the year of birth, like 2015."))
        return year


class IncomePart(AskForm):
    program = choose(_("Help from a program"), words_of(PROGRAMS), required=False)
    no_income_words = story(
        _("No money comes in? Tell us how you pay for rent, food and phone, and who helps."), 3
    )


class IncomeRow(AskForm):
    """One income as it is told: whose, what, how much, how often. The screener asks for the rest."""

    member = forms.TypedChoiceField(label=_("Whose"), coerce=int)
    kind = forms.ChoiceField(label=_("What kind"), choices=words_of(KINDS), initial="pay")
    amount = AskedMoney(label=_("How much, before taxes"))
    period = forms.ChoiceField(label=_("How often"), choices=words_of(TOLD_PERIODS), initial="two weeks")
    hours = AskedHours(label=_("Hours a week"), required=False, help_text=_("Only for pay by the hour."))

    def __init__(self, *args: Any, people: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["member"].choices = people  # type: ignore[attr-defined]
        self.fields["member"].initial = people[0][0]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.has_changed() and not self.errors:
            if (cleaned["period"] == "hourly") != (cleaned["hours"] is not None):
                raise ValidationError(gettext("Pay by the hour needs the hours a week. Other pay has none."))
            check_income(self.facts(cleaned))
        return cleaned

    @staticmethod
    def facts(row: Mapping[str, Any]) -> IncomeFacts:
        told = {name: row[name] for name in ("member", "kind", "amount", "period")}
        return IncomeFacts(**told, hours=row["hours"])


class VehiclePart(AskForm):
    vehicle_class = choose(_("Kind of vehicle"), [(name, _(name)) for name in CLASSES])
    vehicle_year = number(_("Model year"), 1900, 2199)
    vehicle_words = text(_("Make and model"), 60)
    plate = text(_("License plate"), 12, autocomplete="off")
    vin = text(
        _("VIN"),
        20,
        _("The 17 letters and digits by the windshield."),
        autocomplete="off",
        spellcheck="false",
    )
    mileage = number(_("Miles on it"), 0, 9_999_999)
    registered_on = AskedDay(
        label=_("In your household's name since"), required=False, help_text=_("A close guess will do.")
    )
    drivable = forms.ChoiceField(
        label=_("Does it drive?"),
        choices=words_of(DRIVABLE),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose one.")},
    )


class TroublePart(AskForm):
    complaint = story(
        _("What is wrong with it? Tell it in your own words."),
        5,
        _(
            "What happens? Since when, and how often? Is it worse when hot or cold, or at some speed? "
            "Which lights are on? What was tried? Please leave out names."
        ),
        required=True,
    )
    need = choose(_("What do you need it for most?"), words_of(NEEDS))
    need_words = story(_("What happens without it?"), 3)
    other_way = forms.ChoiceField(
        label=_("How do you get around without it?"),
        choices=words_of(OTHER_WAYS),
        widget=forms.RadioSelect,
        required=False,
    )


class YesPart(AskForm):
    """Each consent is a box of its own."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, words in CONSENTS.items():
            self.fields[box_name("yes", key)] = forms.BooleanField(label=_(words), required=False)

    def consents(self) -> dict[str, bool]:
        return {key: self.cleaned_data[box_name("yes", key)] for key in CONSENTS}
