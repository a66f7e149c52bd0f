from dataclasses import replace
from typing import Any

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.refusal import BadInput, NotAllowed
from fund.trail.models import TrailLine
from jobs.households.actions import (
    add_income,
    add_member,
    change_contact,
    replace_incomes,
    replace_members,
)
from jobs.households.models import Household
from jobs.households.queries import households, income_facts
from jobs.households.rules import IncomeFacts, MemberFacts
from tests.jobs.intake.people import PAY, TWO_CHILDREN, application_of_three

pytestmark = pytest.mark.django_db


@pytest.fixture
def household(screener: Person) -> Household:
    return application_of_three(screener).household


def numbered() -> list[MemberFacts]:
    return [replace(member, number=n) for n, member in enumerate(TWO_CHILDREN, start=1)]


def test_a_newcomer_gets_the_next_number_and_the_others_keep_theirs(
    screener: Person, household: Household
) -> None:
    add_member(by=screener, household=household, member=MemberFacts(name="Baby", relation="child"))
    replace_members(
        by=screener,
        household=household,
        members=[numbered()[0], numbered()[2], MemberFacts(name="Aunt", relation="other kin", adult=True)],
    )
    assert [(m.number, m.name) for m in household.members.all()] == [
        (1, "Wilhelmina Quarrender"),
        (3, "Barnaby Quarrender"),
        (5, "Aunt"),
    ]


def test_a_person_with_an_income_does_not_leave(screener: Person, household: Household) -> None:
    add_income(by=screener, household=household, income=replace(PAY, member=2))
    with pytest.raises(BadInput, match="Person 2 has an income entered"):
        replace_members(by=screener, household=household, members=[numbered()[0], numbered()[2]])
    assert household.members.count() == 3
    assert household.incomes.count() == 1


def test_a_list_that_changed_meanwhile_is_refused(screener: Person, household: Household) -> None:
    with pytest.raises(BadInput, match="changed meanwhile"):
        replace_members(by=screener, household=household, members=[replace(TWO_CHILDREN[0], number=9)])


def test_incomes_are_replaced_whole_and_read_back_as_told(screener: Person, household: Household) -> None:
    told = [
        IncomeFacts(kind="pay", period="hourly", amount=Money(1450), hours=3750, weeks=40, member=1),
        IncomeFacts(kind="pay", period="year to date", amount=Money(1_500_000), weeks_so_far=26, member=3),
    ]
    replace_incomes(by=screener, household=household, incomes=[PAY])
    replace_incomes(by=screener, household=household, incomes=told)
    assert income_facts(household) == told


def test_a_bad_income_is_named_by_its_row_and_the_others_stay(screener: Person, household: Household) -> None:
    replace_incomes(by=screener, household=household, incomes=[PAY])
    bad = IncomeFacts(kind="pay", period="hourly", amount=Money(1000), hours=20_000)
    with pytest.raises(BadInput, match="Income 2: Hours a week must be"):
        replace_incomes(by=screener, household=household, incomes=[PAY, bad])
    assert income_facts(household) == [PAY]


def test_an_income_of_nobody_is_refused(screener: Person, household: Household) -> None:
    with pytest.raises(BadInput, match="Income 1: there is no person 7"):
        replace_incomes(by=screener, household=household, incomes=[replace(PAY, member=7)])


def test_the_trail_counts_incomes_and_shows_none(screener: Person, household: Household) -> None:
    replace_incomes(by=screener, household=household, incomes=[PAY])
    line = TrailLine.objects.get(action="household.incomes")
    assert line.text == "Incomes of household H-0001 (Alder) entered: 1."
    assert line.data == {"incomes": 1}


def test_a_contact_is_corrected_and_the_trail_says_which_part(screener: Person, household: Household) -> None:
    change_contact(by=screener, household=household, applicant_name="Wilhelmina Thorne", area="alaska")
    household.refresh_from_db()
    assert household.area == "alaska"
    assert household.members.get(number=1).name == "Wilhelmina Thorne"
    text = TrailLine.objects.get(action="household.contact").text
    assert text == "Contact of household H-0001 (Alder) changed: applicant_name, area."


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"alias": "Oak"}, "cannot be changed here"),
        ({"area": "mars"}, "Choose the area"),
        ({"email": "x"}, "e-mail"),
    ],
)
def test_a_bad_correction_is_refused(
    screener: Person, household: Household, changes: dict[str, str], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        change_contact(by=screener, household=household, **changes)
    household.refresh_from_db()
    assert (household.alias, household.area, household.email) == ("Alder", "contiguous", "")


def test_a_volunteer_changes_neither_people_nor_incomes(volunteer: Person, household: Household) -> None:
    with pytest.raises(NotAllowed):
        replace_incomes(by=volunteer, household=household, incomes=[])
    with pytest.raises(NotAllowed):
        replace_members(by=volunteer, household=household, members=TWO_CHILDREN)
    with pytest.raises(NotAllowed):
        change_contact(by=volunteer, household=household, phone="1")


def test_the_list_counts_people_and_requests_apart(screener: Person, household: Household) -> None:
    row: Any = households().get()
    assert (row.size, row.requests) == (3, 1)
