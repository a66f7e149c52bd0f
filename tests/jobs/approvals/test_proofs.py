import pytest

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.money import Money
from jobs.approvals.actions import approve, supplement
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.proofs import APPROVAL_PROOFS
from jobs.estimates.actions import request_supplement
from jobs.repairs.models import RepairOrder
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import eligible, money_in_bank, part, priced, ready

pytestmark = pytest.mark.django_db


def breaks() -> list[str]:
    return [sentence for _, proof in APPROVAL_PROOFS for sentence in proof()]


@pytest.fixture
def repair(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    found = ready(screener, volunteer, owner)
    approve(by=owner, repair=found)
    return found


def test_the_real_actions_leave_nothing_to_find(
    repair: RepairOrder, owner: Person, volunteer: Person
) -> None:
    request_supplement(by=volunteer, repair=repair, lines=part(60_00), reason="Hose")
    supplement(by=owner, repair=repair)
    ratify_receipt(by=owner, receipt=draft_of(volunteer, repair, "300.00"), reason="Price rose")
    assert breaks() == []


def test_a_promise_behind_the_approvals_back_is_named(repair: RepairOrder, treasurer: Person) -> None:
    promise(
        by=treasurer, cost_object=repair.number, amount=Money(1), tolerance=Money.zero, reason="Slipped in"
    )
    assert breaks() == [
        "RO-0001: 182.29 was approved with a tolerance of 18.22, but 182.30 was promised with a tolerance of 18.22."
    ]


def test_work_without_an_approval_is_named(screener: Person, volunteer: Person) -> None:
    repair = priced(volunteer, eligible(screener))
    RepairOrder.objects.filter(pk=repair.pk).update(state="in the bay")
    assert breaks() == ["RO-0001 is in the bay without an approval."]


def test_an_approver_who_becomes_the_mechanic_is_named(repair: RepairOrder, owner: Person) -> None:
    RepairOrder.objects.filter(pk=repair.pk).update(mechanic=owner)
    assert breaks() == ["RO-0001: Maren Holt said yes to a repair that they opened or do themselves."]
