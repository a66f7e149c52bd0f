"""Whoever named a tie to a household neither shapes what its decision rests on nor reads its papers."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.refusal import TwoPeopleNeeded
from jobs.households.actions import (
    add_income,
    add_member,
    change_contact,
    replace_incomes,
    replace_members,
)
from jobs.households.actions_keep import lift_hold, set_hold
from jobs.households.actions_merge import say_different
from jobs.households.models import Household
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import answer_relation
from jobs.intake.models import Application
from jobs.vehicles.actions import add_vehicle, change_vehicle
from jobs.vehicles.rules import Standing
from tests.jobs.intake.people import PAY, TWO_CHILDREN, application_of_three, eligible

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
LOW = IncomeFacts(kind="pay", period="monthly", amount=Money(100_00))


@pytest.fixture
def cousin(screener: Person) -> Application:
    """The screener decided, and names a cousin afterwards."""
    application = eligible(screener).application
    answer_relation(by=screener, application=application, tie=True, words="My cousin")
    return application


Verb = Callable[[Person, Household], object]
VERBS: dict[str, Verb] = {
    "the incomes": lambda by, household: replace_incomes(by=by, household=household, incomes=[LOW]),
    "one more income": lambda by, household: add_income(by=by, household=household, income=LOW),
    "the contact": lambda by, household: change_contact(by=by, household=household, phone="555-0199"),
    "the area": lambda by, household: change_contact(by=by, household=household, area="alaska"),
    "one more person": lambda by, household: add_member(
        by=by, household=household, member=MemberFacts(name="Baby")
    ),
    "the people": lambda by, household: replace_members(by=by, household=household, members=TWO_CHILDREN),
    "a hold": lambda by, household: set_hold(by=by, household=household, reason="I say so"),
    "another household": lambda by, household: say_different(
        by=by, first=household, second=application_of_three(by).household, reason="I say so"
    ),
    "title and registration": lambda by, household: add_vehicle(
        by=by,
        household=household,
        year=2012,
        vehicle_class="van",
        standing=Standing(title="household", registered_on=date(2020, 1, 1)),
    ),
}


@pytest.mark.parametrize("what", VERBS)
def test_a_tie_takes_away_the_power_to_shape_the_decision(
    cousin: Application, screener: Person, what: str
) -> None:
    before = [(row.kind, row.amount) for row in cousin.household.incomes.all()]
    with pytest.raises(
        TwoPeopleNeeded, match="have a tie to household Alder. Someone without a tie does this"
    ):
        VERBS[what](screener, cousin.household)
    household = Household.objects.get(pk=cousin.household_id)
    assert [(row.kind, row.amount) for row in household.incomes.all()] == before
    assert (household.area, household.phone, household.members.count()) == ("contiguous", "555 0142 77", 3)
    assert not household.holds.exists()
    assert not household.vehicles.exists()


def test_the_refusal_names_who_may(
    cousin: Application, screener: Person, treasurer: Person, owner: Person
) -> None:
    with pytest.raises(TwoPeopleNeeded) as refused:
        replace_incomes(by=screener, household=cousin.household, incomes=[PAY])
    assert treasurer.label in refused.value.sentence
    assert owner.label in refused.value.sentence
    assert screener.label not in refused.value.sentence
    assert replace_incomes(by=treasurer, household=cousin.household, incomes=[PAY])


def test_a_tied_treasurer_does_not_lift_a_hold(
    cousin: Application, screener: Person, treasurer: Person, owner: Person
) -> None:
    set_hold(by=owner, household=cousin.household, reason="A dispute")
    answer_relation(by=treasurer, application=cousin, tie=True, words="My neighbor")
    with pytest.raises(TwoPeopleNeeded, match="have a tie"):
        lift_hold(by=treasurer, household=cousin.household)
    assert lift_hold(by=owner, household=cousin.household).lifted_by == owner


def test_what_says_nothing_of_title_or_worth_may_be_written_by_someone_tied(
    cousin: Application, screener: Person
) -> None:
    vehicle = add_vehicle(by=screener, household=cousin.household, year=2012, vehicle_class="van")
    change_vehicle(by=screener, vehicle=vehicle, year=2012, vehicle_class="van", plate="ABC 123")
    with pytest.raises(TwoPeopleNeeded, match="have a tie"):
        change_vehicle(
            by=screener, vehicle=vehicle, year=2012, vehicle_class="van", standing=Standing(title="household")
        )


PAGES = [
    "/crew/households/H-0001/",
    "/crew/households/H-0001/contact/",
    "/crew/households/H-0001/people/",
    "/crew/households/H-0001/incomes/",
    "/crew/households/H-0001/papers/",
    "/crew/households/H-0001/hold/",
    "/crew/intake/A-0001/decide/",
    "/crew/intake/A-0001/worksheet/",
    "/crew/intake/A-0001/exception/",
]


@pytest.mark.parametrize("page", PAGES)
def test_papers_incomes_and_decisions_are_closed_to_someone_tied_with_the_names_of_who_reads_them(
    cousin: Application, client_for: ClientFor, screener: Person, treasurer: Person, page: str
) -> None:
    closed = client_for(screener).get(page)
    assert closed.status_code == 403
    assert "closed to you. Ask someone without a tie" in closed.text
    assert treasurer.label in closed.text
    assert "Quarrender" not in closed.text
    assert client_for(treasurer).get(page).status_code == 200


def test_the_request_itself_shows_someone_tied_what_the_crew_sees(
    cousin: Application, client_for: ClientFor, screener: Person
) -> None:
    decision = cousin.decisions.get()
    for address in (f"decisions/{decision.pk}/", f"decisions/{decision.pk}/letter/"):
        assert client_for(screener).get(f"/crew/intake/{address}").status_code == 403
    page = client_for(screener).get("/crew/intake/A-0001/")
    assert page.status_code == 200
    assert "Grinds when I brake." in page.text
    assert "Someone without a tie decides." in page.text
    assert "My cousin" not in page.text
    assert "/decide/" not in page.text
