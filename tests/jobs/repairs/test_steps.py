import pytest

from fund.access.models import Person
from fund.commitments.queries import open_for, position
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import BadInput, NotReady
from jobs.approvals.actions import approve
from jobs.repairs.actions import set_cause, set_correction, set_failure_point
from jobs.repairs.actions_steps import cancel, mark_handed_back, mark_tested, reopen, start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import NEXT, State, check_step, state_after_stop
from tests.conftest import TODAY
from tests.jobs.workshop import checked_in, eligible, money_in_bank, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    return repair


def test_the_road_from_approval_to_keys(approved: RepairOrder, volunteer: Person) -> None:
    start_work(by=volunteer, repair=approved)
    assert approved.state == State.IN_WORK
    mark_tested(by=volunteer, repair=approved)
    assert approved.state == State.TESTED
    mark_handed_back(by=volunteer, repair=approved)
    approved.refresh_from_db()
    assert approved.state == State.HANDED_BACK
    assert (approved.started_on, approved.tested_on, approved.handed_back_on) == (TODAY, TODAY, TODAY)


def test_work_never_begins_before_the_approval(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener))
    with pytest.raises(NotReady, match="RO-0001 is checked in"):
        start_work(by=volunteer, repair=repair)


def test_keys_never_go_back_before_the_road_test(approved: RepairOrder, volunteer: Person) -> None:
    start_work(by=volunteer, repair=approved)
    with pytest.raises(NotReady, match="passed its road test"):
        mark_handed_back(by=volunteer, repair=approved)


def test_a_failed_road_test_sends_it_back_into_the_bay(approved: RepairOrder, volunteer: Person) -> None:
    start_work(by=volunteer, repair=approved)
    mark_tested(by=volunteer, repair=approved)
    reopen(by=volunteer, repair=approved, reason="Still pulls left")
    assert approved.state == State.IN_WORK
    assert approved.tested_on is None
    reopen(by=volunteer, repair=approved, reason="And again")
    assert approved.state == State.IN_WORK


def test_hand_back_sets_the_rest_of_the_promise_free(approved: RepairOrder, volunteer: Person) -> None:
    assert open_for(approved.number) == Money(182_29)
    start_work(by=volunteer, repair=approved)
    mark_tested(by=volunteer, repair=approved)
    mark_handed_back(by=volunteer, repair=approved)
    assert open_for(approved.number) == Money.zero
    assert position().free_to_commit == Money(2_000_00)


def test_cancelling_sets_the_promise_free_and_keeps_the_reason(
    approved: RepairOrder, volunteer: Person
) -> None:
    cancel(by=volunteer, repair=approved, reason="The owner sold the car")
    approved.refresh_from_db()
    assert approved.state == State.DIAGNOSED
    assert approved.stop_reason == "The owner sold the car"
    assert open_for(approved.number) == Money.zero


def test_cancelled_with_a_cost_is_cancelled_and_keeps_its_cost(
    approved: RepairOrder, volunteer: Person, treasurer: Person
) -> None:
    lines = [dr(chart.PARTS, Money(120_00), cost_object=approved.number), cr(chart.BANK, Money(120_00))]
    post(by=treasurer, draft=EntryDraft("receipt", TODAY, "Pads", lines))
    cancel(by=volunteer, repair=approved, reason="Frame rusted through")
    assert approved.state == State.CANCELLED


def test_cancelling_needs_a_reason(approved: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="why the repair stops"):
        cancel(by=volunteer, repair=approved, reason=" ")


def test_a_handed_back_repair_is_not_written_on(approved: RepairOrder, volunteer: Person) -> None:
    start_work(by=volunteer, repair=approved)
    set_correction(by=volunteer, repair=approved, correction="Pads and rotors replaced, bedded in")
    mark_tested(by=volunteer, repair=approved)
    mark_handed_back(by=volunteer, repair=approved)
    with pytest.raises(NotReady, match="no longer written on"):
        set_cause(by=volunteer, repair=approved, cause="Something else")
    with pytest.raises(NotReady, match="It has ended already; there is nothing left to stop"):
        cancel(by=volunteer, repair=approved, reason="Too late")


def test_a_tested_repair_is_not_stopped_and_says_what_can_be_done(
    approved: RepairOrder, volunteer: Person
) -> None:
    start_work(by=volunteer, repair=approved)
    mark_tested(by=volunteer, repair=approved)
    with pytest.raises(NotReady, match="hand it back, or record a test that failed"):
        cancel(by=volunteer, repair=approved, reason="Too late")


def test_the_correction_waits_for_the_approval(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener))
    with pytest.raises(NotReady, match="once the work is approved"):
        set_correction(by=volunteer, repair=repair, correction="Done")


@pytest.mark.parametrize("now", list(State))
def test_every_step_that_the_table_lacks_is_refused_in_words(now: State) -> None:
    for then in State:
        if then in NEXT[now]:
            check_step("RO-0001", now, then)
        else:
            with pytest.raises(NotReady, match="RO-0001 is"):
                check_step("RO-0001", now, then)


def test_stopped_after_the_cause_at_no_cost_is_diagnosed_not_repaired() -> None:
    assert state_after_stop("split hose", Money.zero) is State.DIAGNOSED
    assert state_after_stop("split hose", Money(1)) is State.CANCELLED
    assert state_after_stop("  ", Money.zero) is State.CANCELLED


def test_the_owners_figure_is_added_late_and_never_lowered_once_approved(
    approved: RepairOrder, volunteer: Person
) -> None:
    set_failure_point(by=volunteer, repair=approved, minutes=25)
    assert approved.intermittent
    set_failure_point(by=volunteer, repair=approved, minutes=30, miles=12)
    for less in ({"minutes": 29, "miles": 12}, {"minutes": 30}, {"miles": 12}):
        with pytest.raises(NotReady, match="may only be raised"):
            set_failure_point(by=volunteer, repair=approved, **less)
    approved.refresh_from_db()
    assert (approved.owner_minutes_to_failure, approved.owner_miles_to_failure) == (30, 12)
