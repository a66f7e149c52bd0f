"""A purchase beyond the tolerance: refused before it is bought, ratified by name once it was."""

import pytest

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.commitments.queries import allowance, open_for, overruns, position
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.refusal import AlreadyDone, NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.proofs import promise_breaks
from jobs.repairs.models import RepairOrder
from reports.month.queries_jobs import repairs_of_month
from reports.month.rules_content import content_of_repair
from reports.month.rules_page import repair_notes
from tests.conftest import TODAY
from tests.fund.receipts.makers import line, paper
from tests.jobs.approvals.booked import draft_of, whole
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


def test_the_bill_of_465_stops_at_440_and_once_bought_is_posted_with_25_ratified_today(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    bill = draft_of(volunteer, approved, "465.00")
    with pytest.raises(NotEnoughMoney, match="so 440.00 is the most. Ask for a supplement of at least 25.00"):
        post_receipt(by=volunteer, receipt=bill)
    (row,) = ratify_receipt(by=owner, receipt=bill, reason="The only one in town")
    assert (row.kind, row.get_kind_display(), row.amount, row.on, row.approver) == (
        "ratification", "ratification", Money(25_00), TODAY, owner,
    )  # fmt: skip
    assert row.reason.startswith("$25.00 over the limit of $440.00, bought on R-00001.")
    bill.refresh_from_db()
    assert whole(bill.entry_id) == [
        ("5000", "general", "RO-0001", "465.00"),
        ("2010", "general", "", "-465.00"),
    ]
    assert open_for("RO-0001") == Money.zero
    assert allowance("RO-0001").room == Money.zero
    assert list(promise_breaks()) == []
    (told,) = repairs_of_month("2026-03", {"RO-0001": {"5000": Money(465_00)}})
    assert told.ratified == Money(25_00)
    record = content_of_repair(told)
    assert repair_notes(record) == ["25.00 over what was approved, ratified"]


def test_exactly_at_the_tolerance_there_is_nothing_to_ratify(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    bill = draft_of(volunteer, approved, "440.00")
    assert overruns({approved.number: Money(440_00)}) == []
    with pytest.raises(NotReady, match="within what was approved"):
        ratify_receipt(by=owner, receipt=bill, reason="To be sure")
    post_receipt(by=volunteer, receipt=bill)
    with pytest.raises(AlreadyDone):
        ratify_receipt(by=owner, receipt=bill, reason="To be sure")


def test_a_debt_that_exists_is_booked_even_when_nothing_is_free(
    approved: RepairOrder, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    other = ready(treasurer, volunteer, owner, part(1_600_00), name="Takes all there is")
    promise(
        by=owner, cost_object=other.number, amount=Money(1_600_00), tolerance=Money.zero, reason="all of it"
    )
    assert position().free_to_commit == Money.zero
    ratify_receipt(by=owner, receipt=draft_of(volunteer, approved, "465.00"), reason="Bought already")
    now = position()
    assert now.free_to_commit == Money(-65_00)  # 65.00 more is owed than was promised
    assert now.free_to_commit <= now.bank


def test_who_bought_it_never_ratifies_it(approved: RepairOrder, volunteer: Person, owner: Person) -> None:
    own = draft_of(owner, approved, "465.00")
    with pytest.raises(TwoPeopleNeeded):
        ratify_receipt(by=owner, receipt=own, reason="I paid it")
    with pytest.raises(NotAllowed):
        ratify_receipt(by=volunteer, receipt=own, reason="I paid it not")


def test_the_treasurer_waits_for_the_owner(
    approved: RepairOrder, volunteer: Person, treasurer: Person
) -> None:
    answer_relation(by=treasurer, repair=approved, tie=False)
    bill = draft_of(volunteer, approved, "465.00")
    with pytest.raises(NotReady, match="An owner decides"):
        ratify_receipt(by=treasurer, receipt=bill, reason="Bought already")
    bill.refresh_from_db()
    assert bill.state == "draft"
    assert allowance(approved.number).limit == Money(440_00)


def test_nothing_is_ratified_for_a_repair_that_was_never_approved(
    approved: RepairOrder, screener: Person, volunteer: Person, owner: Person
) -> None:
    waiting = ready(screener, volunteer, owner, part(90_00), name="Waits")
    with pytest.raises(NotReady, match="Approve the repair first"):
        ratify_receipt(by=owner, receipt=draft_of(volunteer, waiting, "90.00"), reason="Bought already")


def test_one_paper_over_two_approvals_is_ratified_for_both_or_for_none(
    approved: RepairOrder, screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    second = ready(screener, volunteer, owner, part(100_00), name="Second")
    approve(by=owner, repair=second)
    lines = (
        line("pump", "445.00", ("part", approved.number), taxable=False),
        line("hose", "112.00", ("part", second.number), taxable=False),
    )
    bill = save_draft(by=volunteer, data=paper(volunteer, "557.00", "0.00", *lines, on=TODAY))
    rows = ratify_receipt(by=owner, receipt=bill, reason="Prices rose")
    assert [(row.repair.number, row.amount) for row in rows] == [
        ("RO-0001", Money(5_00)), ("RO-0002", Money(2_00)),
    ]  # fmt: skip
    bill.refresh_from_db()
    assert whole(bill.entry_id) == [
        ("5000", "general", "RO-0001", "445.00"),
        ("5000", "general", "RO-0002", "112.00"),
        ("2010", "general", "", "-557.00"),
    ]
