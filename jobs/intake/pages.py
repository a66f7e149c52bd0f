"""The pages of the public form in their order, and what was typed on them as one request."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fund import clock
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.forms import MONEY, TROUBLE, VEHICLE, applicant
from jobs.intake.forms_parts import (
    AskForm,
    IncomePart,
    PersonPart,
    QuestionsPart,
    TroublePart,
    VehiclePart,
    YesPart,
    box_name,
    text,
)
from jobs.intake.rows import (
    INCOMES,
    PEOPLE,
    AskedRows,
    incomes_of,
    incomes_rows,
    names_for_incomes,
    people_of,
    people_rows,
    typed_rows,
)
from jobs.intake.rules import ADULT, WEB, Asking, years_between

Typed = Mapping[str, str]
Told = Mapping[str, Any]


class QuestionsPage(QuestionsPart):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.required = True
            field.error_messages["required"] = _("Choose one.")


# A local telephone number without its area code.
FEWEST_DIGITS = 7


class PersonPage(PersonPart):
    referral = text(_("Is someone helping you to ask? Who?"), 120)

    def clean_birth_date(self) -> date | None:
        born: date | None = self.cleaned_data["birth_date"]
        if born and years_between(born, clock.today()) < ADULT:
            raise ValidationError(
                gettext("You are under 18. Ask a parent or guardian to fill this in with their own name.")
            )
        return born

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if any(cleaned.get(name) for name in ("email", "address")) or self.errors:
            return cleaned
        if not cleaned.get("phone"):
            raise ValidationError(gettext("Give us a phone, an e-mail or an address, so that we can answer."))
        if sum(sign.isdecimal() for sign in cleaned["phone"]) < FEWEST_DIGITS:
            words = gettext(
                "This has too few digits. Write the whole number, or give us an e-mail or an address."
            )
            self.add_error("phone", words)
        return cleaned


class HomePage(AskForm):
    """No box of its own: its rows are the people."""


class VehiclePage(VehiclePart):
    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        year, newest = cleaned.get("vehicle_year"), clock.today().year + 1
        told = any(
            cleaned.get(name) not in ("", None) for name in ("plate", "vin", "mileage", "registered_on")
        )
        if year is None and told and "vehicle_year" not in self.errors:
            self.add_error("vehicle_year", gettext("Please write the model year too. A good guess will do."))
        elif year is not None and year > newest:
            self.add_error("vehicle_year", gettext("This model year has not come yet."))
        return cleaned


class YesPage(YesPart):
    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not cleaned.get(box_name("yes", "data")):
            words = gettext("We can keep your request only if you tick the first box.")
            self.add_error(box_name("yes", "data"), words)
        if cleaned.get(box_name("yes", "children")) and not cleaned.get(box_name("yes", "photos")):
            words = gettext("Tick the box for photos too, or leave both empty.")
            self.add_error(box_name("yes", "children"), words)
        return cleaned


@dataclass(frozen=True)
class Page:
    """One page: its name in the address, its title, its form, and the rows that stand on it (people, incomes or none)."""

    key: str
    title: Any
    form: type[AskForm]
    rows: str = ""


PAGES: dict[str, Page] = {
    page.key: page
    for page in (
        Page("questions", _("First questions"), QuestionsPage),
        Page("you", _("Who you are"), PersonPage),
        Page("home", _("Who lives with you"), HomePage, PEOPLE),
        Page("money", _("The money that comes in"), IncomePart, INCOMES),
        Page("vehicle", _("The vehicle"), VehiclePage),
        Page("trouble", _("What is wrong"), TroublePart),
        Page("yes", _("What you agree to"), YesPage),
    )
}


@dataclass
class Sheet:
    """A page with what was typed: judged, or as it was left."""

    page: Page
    form: AskForm
    rows: AskedRows | None

    def fits(self) -> bool:
        """Whether nothing is wrong; both parts are looked at, so that all that is wrong is told at once."""
        parts = [self.form.is_valid(), self.rows is None or self.rows.is_valid()]
        return all(parts)


def sheet(page: Page, typed: Typed | None, told: Told, *, judged: bool) -> Sheet:
    form = page.form(dict(typed or {})) if judged else page.form(initial=dict(typed or {}))
    rows = None
    if page.rows == PEOPLE:
        rows = people_rows(typed, judged=judged)
    elif page.rows == INCOMES:
        rows = incomes_rows(typed, _whose(told), judged=judged)
    return Sheet(page, form, rows)


def _whose(told: Told) -> list[tuple[Any, Any]]:
    pages = told.get("pages", {})
    others = [row["name"] for row in typed_rows(pages.get("home", {}), PEOPLE, ("name",)) if row["name"]]
    return names_for_incomes(pages.get("you", {}).get("name", ""), others)


def typed_on(page: Page, post: QueryDict) -> dict[str, str]:
    """What was typed in the boxes of a page; anything else that was sent is left out."""
    names = set(page.form().fields)
    return {
        name: str(value)
        for name, value in post.items()
        if name in names or (page.rows and name.startswith(f"{page.rows}-"))
    }


def page_after(page: Page) -> Page | None:
    keys = list(PAGES)
    place = keys.index(page.key) + 1
    return PAGES[keys[place]] if place < len(keys) else None


def number_of(page: Page) -> int:
    return list(PAGES).index(page.key) + 1


def first_unfit(told: Told) -> Page | None:
    """The first page that is missing or has something wrong in it; None when the request can be sent."""
    pages = told.get("pages", {})
    for key, page in PAGES.items():
        if key not in pages or not sheet(page, pages[key], told, judged=True).fits():
            return page
    return None


@dataclass(frozen=True)
class Request:
    asking: Asking
    members: list[MemberFacts]
    incomes: list[IncomeFacts]


def request_of(told: Told) -> Request:
    """All pages as one request. Call when :func:`first_unfit` found nothing."""
    sheets = {key: sheet(page, told["pages"][key], told, judged=True) for key, page in PAGES.items()}
    for one in sheets.values():
        one.fits()
    given = {key: one.form.cleaned_data for key, one in sheets.items()}
    questions, yes, home, money = (
        sheets["questions"].form,
        sheets["yes"].form,
        sheets["home"],
        sheets["money"],
    )
    assert isinstance(questions, QuestionsPart)
    assert isinstance(yes, YesPart)
    assert home.rows is not None
    assert money.rows is not None
    person = ("name", "birth_date", "phone", "best_time", "email", "address", "referral")
    asking = Asking(
        **{name: given["you"][name] for name in person},
        **{name: given["money"][name] for name in MONEY},
        **{name: given["vehicle"][name] for name in VEHICLE},
        **{name: given["trouble"][name] for name in TROUBLE},
        answers=questions.answers(),
        consents=yes.consents(),
        language=told["language"],
        channel=WEB,
    )
    members = [applicant(sheets["you"].form), *people_of(home.rows)]
    return Request(asking, members, incomes_of(money.rows))
