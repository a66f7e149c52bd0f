"""What comes back after a promise ended is not promised anew, even where the promise was spent to the cent."""

import pytest

from fund.access.models import Person
from fund.commitments.models import CommitmentMove
from fund.commitments.queries import open_for
from fund.money import Money
from fund.receipts.actions import post_receipt
from fund.receipts.actions_returns import return_to_shelf
from fund.receipts.models import ReceiptPortion
from jobs.approvals.actions import approve
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.repairs.actions_steps import cancel, mark_handed_back, mark_tested, start_work
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import money_in_bank, owner_says_yes, part, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def spent(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    """A repair of 400.00 for which a part of exactly 400.00 was bought."""
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "400.00"))
    assert open_for(repair.number) == Money.zero
    return repair


def back(by: Person) -> None:
    return_to_shelf(by=by, portion=ReceiptPortion.objects.get(), quantity=1000, on=TODAY, reason="Not needed")


def test_while_the_work_goes_on_the_money_is_promised_to_it_again(
    spent: RepairOrder, volunteer: Person
) -> None:
    back(volunteer)
    assert open_for(spent.number) == Money(400_00)


def test_after_the_keys_it_stays_free(spent: RepairOrder, volunteer: Person) -> None:
    owner_says_yes(volunteer, spent)
    start_work(by=volunteer, repair=spent)
    mark_tested(by=volunteer, repair=spent)
    mark_handed_back(by=volunteer, repair=spent)
    back(volunteer)
    assert open_for(spent.number) == Money.zero
    assert list(CommitmentMove.objects.filter(kind="release").values_list("amount")) == [(Money.zero,)]


def test_after_an_overspend_was_ratified_on_an_ended_repair_it_stays_free(
    spent: RepairOrder, volunteer: Person, owner: Person
) -> None:
    owner_says_yes(volunteer, spent)
    start_work(by=volunteer, repair=spent)
    mark_tested(by=volunteer, repair=spent)
    mark_handed_back(by=volunteer, repair=spent)
    late = draft_of(volunteer, spent, "60.00", number="2", late_reason="Found in the van")
    ratify_receipt(by=owner, receipt=late, reason="Bought before the keys")
    assert open_for(spent.number) == Money.zero
    found = ReceiptPortion.objects.get(line__receipt=late)
    return_to_shelf(by=volunteer, portion=found, quantity=1000, on=TODAY, reason="Not needed")
    assert open_for(spent.number) == Money.zero


def test_after_the_repair_was_stopped_it_stays_free(spent: RepairOrder, volunteer: Person) -> None:
    cancel(by=volunteer, repair=spent, reason="Sold")
    back(volunteer)
    assert open_for(spent.number) == Money.zero
