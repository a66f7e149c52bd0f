"""The steps of a repair order after its approval, and its end."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import may, require
from fund.access.models import Person
from fund.commitments.actions import end_cost_object, release
from fund.commitments.queries import allowance
from fund.ledger.queries import cost_of
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.queries_start import before_work
from jobs.repairs.rules import State, check_step, state_after_stop
from jobs.repairs.ties import refuse_tied_hand


@transaction.atomic
def start_work(*, by: Person, repair: RepairOrder, on: date | None = None) -> RepairOrder:
    """Take an approved vehicle into the bay.

    Refused before the approval, the check-in and the owner's own yes, where an open recall covers the fault, and where the
    household took back its consent to the work.
    """
    require(by, "repair.write")
    on = on or clock.today()
    _step(repair, State.IN_WORK)
    if lacks := before_work(repair, on):
        raise NotReady(f"{repair.number} cannot go into the bay yet.", lacks)
    repair.started_on = repair.started_on or on
    return _done(by, repair, "repair.start", f"{repair.number}: work begun.")


@transaction.atomic
def mark_tested(*, by: Person, repair: RepairOrder, on: date | None = None) -> RepairOrder:
    """Road-tested. The road-test room decides with which result; this moves the repair order."""
    require(by, "roadtest.record")
    _step(repair, State.TESTED)
    repair.tested_on = on or clock.today()
    return _done(by, repair, "repair.tested", f"{repair.number}: road-tested.")


@transaction.atomic
def reopen(*, by: Person, repair: RepairOrder, reason: str, on: date | None = None) -> RepairOrder:
    """Back into the bay after a road test that failed. A vehicle still in the bay stays there."""
    require(by, "roadtest.record")
    _need(reason, "Say what the road test showed.")
    hold(repair)
    if repair.state != State.IN_WORK:
        check_step(repair.number, repair.state, State.IN_WORK)
        repair.state = State.IN_WORK
    repair.tested_on = None
    return _done(by, repair, "repair.reopen", f"{repair.number} back in the bay: {reason.strip()}")


@transaction.atomic
def mark_handed_back(
    *, by: Person, repair: RepairOrder, on: date | None = None, untested: bool = False
) -> RepairOrder:
    """Keys returned. What is left of the commitment is free again.

    ``untested``: it leaves the bay without a road test, which the hand-back room allows after a signed refusal only.
    """
    require(by, "handback.record")
    on = on or clock.today()
    hold(repair)
    if not (untested and repair.state == State.IN_WORK):
        check_step(repair.number, repair.state, State.HANDED_BACK)
    repair.state = State.HANDED_BACK
    repair.handed_back_on = on
    release(by=by, cost_object=repair.number, reason=f"{repair.number} handed back", on=on)
    end_cost_object(by=by, cost_object=repair.number, reason="handed back", on=on)
    return _done(by, repair, "repair.handed_back", f"{repair.number} handed back.")


@transaction.atomic
def cancel(*, by: Person, repair: RepairOrder, reason: str, on: date | None = None) -> RepairOrder:
    """Stop a repair that is not yet tested. The commitment is released; parts bought stay in its cost.

    Stopped after the cause was found and at no cost, it counts as diagnosed, not repaired.
    """
    if not may(by, "repair.approve"):
        require(by, "repair.write")
    _need(reason, "Say why the repair stops; the reason is kept with it.")
    on = on or clock.today()
    hold(repair)
    refuse_tied_hand(by, repair, "stops it")
    promised = repair.promised or allowance(repair.number).promised  # or the mechanic took consumables
    then = state_after_stop(repair.cause, cost_of(repair.number))
    check_step(repair.number, repair.state, then)
    repair.state, repair.stop_reason, repair.stopped_on = then, reason.strip(), on
    if promised:
        release(by=by, cost_object=repair.number, reason=f"{then}: {reason.strip()}", on=on)
        end_cost_object(by=by, cost_object=repair.number, reason=f"{then}: {reason.strip()}", on=on)
    return _done(by, repair, "repair.cancel", f"{repair.number} {then}: {reason.strip()}")


def _need(text: str, sentence: str) -> None:
    if not text.strip():
        raise BadInput(sentence)


def _step(repair: RepairOrder, then: State) -> None:
    hold(repair)
    check_step(repair.number, repair.state, then)
    repair.state = then


def _done(by: Person, repair: RepairOrder, action: str, text: str) -> RepairOrder:
    repair.save()
    record(by=by, action=action, subject=repair.number, text=text)
    return repair
