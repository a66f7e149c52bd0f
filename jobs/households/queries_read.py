"""What stood on the pages on which people and incomes are changed: they are written anew only over what was read."""

from collections.abc import Callable
from dataclasses import dataclass

from fund.as_read import mark, refuse_unread
from jobs.eligibility.rules_income import step
from jobs.households.models import Household
from jobs.households.queries import income_facts

CHANGED = (
    "Somebody else changed this since you opened the page. What is entered now stands below. Bring what you typed into line "
    "with it, then save: what you save takes its place."
)


def incomes_mark(household: Household) -> str:
    """Of all incomes as entered now, and of how rent and food are paid without one. Two queries."""
    words = Household.objects.values_list("no_income_words", flat=True).get(pk=household.pk)
    return mark(words, repr(income_facts(household)))


def people_mark(household: Household) -> str:
    """Of everyone in the household as entered now. One query."""
    rows = household.members.order_by("number")
    names = ("number", "name", "relation", "adult", "birth_year", "birth_date")
    return mark(repr([[getattr(row, name) for name in names] for row in rows]))


def incomes_told(household: Household) -> list[str]:
    """The incomes as entered now, a line each."""
    words = Household.objects.values_list("no_income_words", flat=True).get(pk=household.pk)
    rows = [step(row).text for row in income_facts(household)] or ["No income is entered."]
    return [*rows, f"How rent, food and phone are paid: {words}"] if words else rows


def people_told(household: Household) -> list[str]:
    """The people as entered now, a line each."""
    rows = household.members.order_by("number")
    return [f"Person {row.number}: {row.name}, {row.get_relation_display()}" for row in rows]


@dataclass(frozen=True)
class Page:
    """One of the two pages: the mark of what it shows, and the lines that tell it."""

    mark: Callable[[Household], str]
    told: Callable[[Household], list[str]]


INCOMES, PEOPLE = Page(incomes_mark, incomes_told), Page(people_mark, people_told)


def refuse_older(page: Page, household: Household, read: str | None) -> None:
    """Locks the household and refuses what was typed on a page that shows something else than is entered now.

    ``read`` None: it was typed on no page.
    """
    Household.objects.select_for_update().get(pk=household.pk)
    if read is not None:
        refuse_unread(read, page.mark(household), CHANGED, page.told(household))


def mark_to_carry(page: Page, household: Household, read: str | None, told: bool) -> str:
    """The mark for a page that is shown again: the one it was opened with, until its reader was told what changed."""
    return page.mark(household) if read is None or told else read
