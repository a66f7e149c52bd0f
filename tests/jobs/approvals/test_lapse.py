"""An approval nobody used: it runs out, is renewed, or is let go."""

from contextlib import AbstractContextManager
from datetime import timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import allowance, open_for, position
from fund.commitments.queries_idle import promised, to_look_at
from fund.ledger.actions import add_purpose
from fund.money import Money
from fund.receipts.actions import post_receipt
from fund.refusal import NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve, supplement
from jobs.approvals.actions_lapse import let_go, renew
from jobs.approvals.proofs import approver_breaks, promise_breaks
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db


def day(after: int) -> AbstractContextManager[None]:
    return clock.at(TODAY + timedelta(days=after))


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    row = approve(by=owner, repair=repair)
    assert row.until == TODAY + timedelta(days=30)
    return repair


def test_the_last_day_still_counts_and_the_day_after_does_not(
    approved: RepairOrder, volunteer: Person
) -> None:
    with day(31):
        late = draft_of(volunteer, approved, "50.00")
        with pytest.raises(NotReady, match="ran out on 2026-04-14, before anything was bought"):
            post_receipt(by=volunteer, receipt=late)
        assert open_for(approved.number) == Money(400_00)
    with day(31):  # what was bought on the last day may come in later
        last = draft_of(volunteer, approved, "50.00", number="2", on=TODAY + timedelta(days=30))
        post_receipt(by=volunteer, receipt=last)
    assert open_for(approved.number) == Money(350_00)


def test_once_something_was_bought_it_does_not_run_out(approved: RepairOrder, volunteer: Person) -> None:
    with day(20):
        post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "50.00"))
    with day(50):
        assert to_look_at() == []
        post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "60.00", number="2"))


def test_renewed_it_has_its_full_time_again_at_the_same_cost(
    approved: RepairOrder, owner: Person, volunteer: Person
) -> None:
    with day(31):
        assert [row.look for row in to_look_at()] == ["Ran out on 2026-04-14, nothing bought"]
        row = renew(by=owner, repair=approved, reason="The part is on back order")
        assert (row.kind, row.amount, row.until) == ("renewal", Money.zero, TODAY + timedelta(days=61))
        assert to_look_at() == []
        post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "400.00"))
    assert allowance(approved.number).limit == Money(440_00)
    assert list(promise_breaks()) == []


def test_a_renewal_asks_again_who_decides_and_for_whom(
    approved: RepairOrder, owner: Person, treasurer: Person, volunteer: Person
) -> None:
    with day(31), pytest.raises(NotAllowed):
        renew(by=volunteer, repair=approved, reason="Still needed")
    with day(100), pytest.raises(NotReady, match="eligibility ran out"):
        renew(by=owner, repair=approved, reason="Still needed")
    approved.mechanic = owner
    approved.save()
    with day(31), pytest.raises(TwoPeopleNeeded, match="does the work"):
        renew(by=owner, repair=approved, reason="Still needed")


def test_let_go_frees_the_money_and_sends_the_repair_to_be_priced_again(
    approved: RepairOrder, owner: Person, volunteer: Person
) -> None:
    free = position().free_to_commit
    with day(60):
        row = let_go(by=owner, repair=approved, reason="No part in sight")
        assert (row.kind, row.amount, row.on) == ("let go", Money(400_00), TODAY + timedelta(days=60))
        assert position().free_to_commit == free + Money(400_00)
    approved.refresh_from_db()
    assert (approved.state, approved.approved_on) == (State.CHECKED_IN, None)
    assert allowance(approved.number).limit == Money.zero
    with day(61):
        with pytest.raises(NotReady):
            approve(by=owner, repair=approved)  # the old price no longer stands
        set_estimate(by=volunteer, repair=approved, lines=part(410_00))
        again = approve(by=owner, repair=approved)
        assert (again.amount, again.tolerance) == (Money(410_00), Money(41_00))
    assert allowance(approved.number).limit == Money(451_00)
    assert list(promise_breaks()) == []
    assert list(approver_breaks()) == []


def test_a_promise_in_use_is_not_let_go(approved: RepairOrder, owner: Person) -> None:
    with day(30), pytest.raises(NotReady, match="was last used on 2026-03-15; after 60 days"):
        let_go(by=owner, repair=approved, reason="Want the money elsewhere")


def test_of_a_repair_begun_only_the_rest_is_let_go_and_more_takes_a_supplement(
    approved: RepairOrder, owner: Person, volunteer: Person
) -> None:
    start_work(by=volunteer, repair=approved)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "150.00"))
    with day(60):
        assert [row.look for row in to_look_at()] == ["Not used for 60 days"]
        assert let_go(by=owner, repair=approved, reason="Quiet for two months").amount == Money(250_00)
        approved.refresh_from_db()
        assert approved.state == State.IN_WORK
        with pytest.raises(NotEnoughMoney, match=r"150.00 was approved with a tolerance of 0.00"):
            post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "0.01", number="2"))
        request_supplement(by=volunteer, repair=approved, lines=part(90_00), reason="The part came after all")
        supplement(by=owner, repair=approved)
        post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "90.00", number="3"))
    assert open_for(approved.number) == Money.zero


def test_a_restriction_gets_its_part_back(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, 2_000_00)
    money_in_bank(treasurer, 300_00, "tires")
    repair = ready(screener, volunteer, owner, part(350_00, "tires"))
    approve(by=owner, repair=repair, purpose="tires")
    with day(31):
        let_go(by=owner, repair=repair, reason="They found tires")
        assert position().free_to_commit == Money(1_000_00)
        assert open_for(repair.number) == Money.zero


def test_the_days_are_dated_rules(approved: RepairOrder, owner: Person) -> None:
    set_rule(by=owner, name="stale_days", value="10", valid_from=TODAY, reason="Money is short")
    with day(10):
        assert [row.cost_object for row in to_look_at()] == [approved.number]
        assert [(row.amount, row.idle_days, row.until) for row in promised()] == [
            (Money(400_00), 10, TODAY + timedelta(days=30))
        ]
