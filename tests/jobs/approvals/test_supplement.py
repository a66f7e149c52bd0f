import pytest

from fund.access.models import Person
from fund.commitments.queries import allowance, open_for
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve, decline, supplement
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.queries import cause_approved
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.repairs.actions import set_cause
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.approvals.booked import draft_of
from tests.jobs.workshop import money_in_bank, part, ready, without_share

pytestmark = pytest.mark.django_db


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(300_00))
    approve(by=owner, repair=repair)
    return repair


def test_it_adds_to_the_promise_and_the_tolerance_counts_on_the_whole(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    without_share(owner)
    request_supplement(by=volunteer, repair=approved, lines=part(260_00, "caliper"), reason="Seized caliper")
    extra = supplement(by=owner, repair=approved)
    # 10% of 560.00 would be 56.00; the cap is 50.00, of which 30.00 were given with the approval.
    assert (extra.amount, extra.tolerance) == (Money(260_00), Money(20_00))
    assert open_for(approved.number) == Money(560_00)
    assert allowance(approved.number).limit == Money(610_00)
    assert extra.reason == "Seized caliper"


def test_the_mechanic_who_asks_never_says_yes_to_it(
    approved: RepairOrder, owner: Person, volunteer: Person
) -> None:
    request_supplement(by=owner, repair=approved, lines=part(60_00, "hose"), reason="Split hose")
    with pytest.raises(TwoPeopleNeeded, match="asked for more"):
        supplement(by=owner, repair=approved)


def test_the_owners_limit_looks_at_the_whole_repair(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    request_supplement(by=volunteer, repair=approved, lines=part(450_01, "rack"), reason="Rack leaks")
    with pytest.raises(TwoPeopleNeeded, match=r"\$750.01 is above"):
        supplement(by=owner, repair=approved)


def test_a_no_leaves_the_first_approval_standing(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    request_supplement(by=volunteer, repair=approved, lines=part(60_00, "hose"), reason="Split hose")
    decline(by=owner, repair=approved, reason="Not safety related")
    approved.refresh_from_db()
    assert approved.state == State.APPROVED
    assert open_for(approved.number) == Money(300_00)
    with pytest.raises(NotReady, match="Nobody asked"):
        supplement(by=owner, repair=approved)


def test_only_one_waits_at_a_time(approved: RepairOrder, volunteer: Person) -> None:
    request_supplement(by=volunteer, repair=approved, lines=part(60_00, "hose"), reason="Split hose")
    with pytest.raises(AlreadyDone, match="already has a supplement waiting"):
        request_supplement(by=volunteer, repair=approved, lines=part(9_00, "clamp"), reason="Clamp")


def test_it_needs_an_approval_and_a_reason(
    approved: RepairOrder, screener: Person, volunteer: Person, owner: Person
) -> None:
    with pytest.raises(BadInput, match="why more is needed"):
        request_supplement(by=volunteer, repair=approved, lines=part(60_00), reason="")
    waiting = ready(screener, volunteer, owner, name="Two")
    with pytest.raises(NotReady, match="adds to an approval"):
        request_supplement(by=volunteer, repair=waiting, lines=part(60_00), reason="More")


def test_an_approved_estimate_is_not_rewritten(approved: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(NotReady, match="Ask for a supplement"):
        set_estimate(by=volunteer, repair=approved, lines=part(10_00))


def test_a_changed_cause_takes_a_new_yes_even_at_the_same_cost(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    assert cause_approved(approved)
    set_cause(by=volunteer, repair=approved, cause="Relay, not the pump")
    assert not cause_approved(approved)
    request_supplement(by=volunteer, repair=approved, lines=(), reason="Cause turned out different")
    assert supplement(by=owner, repair=approved).amount == Money.zero
    assert cause_approved(approved)
    assert open_for(approved.number) == Money(300_00)


def test_an_overspend_is_ratified_today_and_called_so(
    approved: RepairOrder, owner: Person, volunteer: Person
) -> None:
    bill = draft_of(volunteer, approved, "355.00")
    (row,) = ratify_receipt(by=owner, receipt=bill, reason="Price rose at the counter")
    assert (row.kind, row.amount, row.tolerance) == ("ratification", Money(25_00), Money.zero)
    assert allowance(approved.number).limit == Money(355_00)


def test_a_tie_named_later_stops_a_supplement(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    answer_relation(by=owner, repair=approved, tie=True, words="now my tenant")
    request_supplement(by=volunteer, repair=approved, lines=part(60_00, "hose"), reason="Split hose")
    with pytest.raises(TwoPeopleNeeded, match="has a tie"):
        supplement(by=owner, repair=approved)
