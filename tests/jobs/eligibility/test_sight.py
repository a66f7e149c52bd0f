from datetime import date

import pytest

from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed
from jobs.eligibility.actions import sight
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db


def test_a_paper_is_entered_as_seen_and_not_kept(screener: Person) -> None:
    household = application_of_three(screener).household
    paper = sight(by=screener, household=household, kind="pay stub", document_date=date(2026, 3, 6))
    assert (paper.sighted_by, paper.on, paper.about_income) == (screener, date(2026, 3, 15), True)


@pytest.mark.parametrize(
    ("kind", "dated", "seen", "words"),
    [
        ("love letter", date(2026, 3, 1), None, "what the paper is"),
        ("pay stub", date(2026, 3, 16), None, "after the day it was seen"),
        ("pay stub", date(2026, 3, 1), date(2026, 3, 16), "still to come"),
    ],
)
def test_an_impossible_paper_is_refused(
    screener: Person, kind: str, dated: date, seen: date | None, words: str
) -> None:
    household = application_of_three(screener).household
    with pytest.raises(BadInput, match=words):
        sight(by=screener, household=household, kind=kind, document_date=dated, on=seen)
    assert not household.sightings.exists()


def test_a_volunteer_sights_no_papers(volunteer: Person) -> None:
    household = application_of_three(volunteer).household
    with pytest.raises(NotAllowed):
        sight(by=volunteer, household=household, kind="pay stub", document_date=date(2026, 3, 1))
