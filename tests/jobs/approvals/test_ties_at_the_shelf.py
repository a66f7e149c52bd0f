"""Who is tied to a household takes nothing from the shelf for its repair, as they buy nothing for it."""

import pytest

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfIssue
from fund.refusal import NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.fund.receipts.makers import bought, line, paper
from tests.jobs.approvals.booked import last_entry, whole
from tests.jobs.workshop import money_in_bank, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    bulbs = line("bulb", "20.00", "shelf", quantity=4000)
    bought(volunteer, paper(volunteer, "20.00", "0.00", bulbs))
    return repair


def _take(by: Person) -> None:
    issue_from_shelf(by=by, item="bulb", quantity=1000, cost_object="RO-0001", on=TODAY)


def test_a_cousin_takes_nothing_and_somebody_without_a_tie_does(
    approved: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    answer_relation(by=volunteer2, repair=approved, tie=True, words="a cousin")
    with pytest.raises(TwoPeopleNeeded, match="Jun Okafor has a tie to the household of RO-0001"):
        _take(volunteer2)
    assert (ShelfIssue.objects.count(), balance("1200")) == (0, Money(20_00))
    _take(volunteer)
    assert whole(last_entry()) == [("5000", "general", "RO-0001", "5.00"), ("1200", "general", "", "-5.00")]


def test_who_has_not_been_asked_yet_answers_first(approved: RepairOrder, volunteer2: Person) -> None:
    with pytest.raises(NotReady, match="Jun Okafor has not said yet"):
        _take(volunteer2)
    answer_relation(by=volunteer2, repair=approved, tie=False)
    _take(volunteer2)
    assert cost_of("RO-0001") == Money(5_00)
