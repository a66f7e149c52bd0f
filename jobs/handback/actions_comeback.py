"""A repair that did not hold: a linked repair order, counted apart from households helped."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import may, require
from fund.access.models import Person
from fund.access.powers import no_power_sentence
from fund.ledger.actions import add_cost_object
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.trail.actions import record
from jobs.handback.models_proof import Comeback
from jobs.handback.queries import did_the_work
from jobs.handback.queries_proof import comebacks
from jobs.hours.rules import day
from jobs.repairs.actions_steps import cancel
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED, State
from jobs.vehicles.queries_checkin import check_in_of


@transaction.atomic
def open_comeback(
    *,
    by: Person,
    original: RepairOrder,
    complaint: str,
    same: bool = True,
    mileage_in: int | None = None,
    mechanic: Person | None = None,
    on: date | None = None,
) -> Comeback:
    """Check a vehicle in again because a repair did not hold. ``same``: the same complaint; else one that follows from it.

    Needs no new decision and no turn: the household was helped once and is not helped anew. Its parts are booked on
    5060. Refuses a repair that was not handed back, a vehicle that is in already, and an empty complaint.
    """
    require(by, "repair.write")
    on = on or clock.today()
    if not complaint.strip():
        raise BadInput("Write what the owner says now, in their own words.")
    number = next_code(RepairOrder, "number", "RO-")  # holds the books
    original.refresh_from_db()
    if original.state != State.HANDED_BACK or original.handed_back_on is None:
        raise NotReady(
            f"{original.number} is {original.state}. Only a repair that was handed back can come back."
        )
    if on < original.handed_back_on or on > clock.today():
        raise BadInput(f"{original.number} was handed back on {day(original.handed_back_on)}. Check the day.")
    already = RepairOrder.objects.filter(vehicle=original.vehicle_id).exclude(state__in=ENDED).first()
    if already:
        raise AlreadyDone(f"{already.number} is already open for this vehicle. Write on that one.")
    label = f"{original.alias}, {original.vehicle_class}, comeback"
    repair = RepairOrder.objects.create(
        number=number, cost_object=add_cost_object(by=by, code=number, label=label),
        application=original.application, household=original.household, vehicle=original.vehicle,
        alias=original.alias, vehicle_class=original.vehicle_class, job_type=_again(original.job_type),
        typical_job=original.typical_job, complaint=complaint.strip(), intermittent=original.intermittent,
        owner_minutes_to_failure=original.owner_minutes_to_failure,
        owner_miles_to_failure=original.owner_miles_to_failure,
        mileage_in=mileage_in, mechanic=mechanic, opened_on=on, opened_by=by,
    )  # fmt: skip
    row = Comeback.objects.create(repair=repair, original=original, same=same, told_on=on, opened_by=by)
    days = (on - original.handed_back_on).days
    text = f"{number} opened: {original.number} came back after {days} days."
    record(by=by, action="comeback.open", subject=number, text=text, data={"original": original.number})
    return row


def _again(job: str) -> str:
    """The kind of job as it is told of a comeback, in public too."""
    plain = job.removeprefix("Comeback").lstrip(": ")
    return f"Comeback: {plain}"[:60] if plain else "Comeback"


@transaction.atomic
def begin_comeback(*, by: Person, comeback: Comeback, on: date | None = None) -> RepairOrder:
    """Take a comeback that needs no parts into the bay: no money is promised, so nobody has to approve any."""
    require(by, "repair.write")
    repair = hold(comeback.repair)
    if repair.state != State.CHECKED_IN:
        raise NotReady(f"{repair.number} is {repair.state}. It goes on from there.")
    if check_in_of(repair) is None:
        raise NotReady(
            f"{repair.number} is not checked in yet: photos, codes, mileage and the owner's signature."
        )
    repair.state, repair.started_on = State.IN_WORK, on or clock.today()
    repair.estimated_on = (
        repair.started_on
    )  # nothing to buy is an estimate of 0.00, and what the owner says yes to
    repair.save()
    text = f"{repair.number}: work begun, no parts needed so far."
    record(by=by, action="repair.start", subject=repair.number, text=text)
    return repair


@transaction.atomic
def decide_fault(
    *, by: Person, comeback: Comeback, ours: bool, reason: str, on: date | None = None
) -> Comeback:
    """Say whose fault a comeback is, after comparing photos and codes of the two check-ins.

    Not the crew's: it is counted no longer and stops here; what is wrong may be a new request for help. Refuses
    whoever did the first repair, a second decision, and an empty reason.
    """
    if not may(by, "repair.write") and not may(by, "repair.approve"):
        raise NotAllowed(no_power_sentence("repair.write"))
    repair = hold(comeback.repair)
    comeback = comebacks().select_for_update(of=("self",)).get(pk=comeback.pk)
    if comeback.fault:
        raise AlreadyDone("Whose fault it is was already decided.")
    if by.pk in did_the_work(comeback.original):
        raise TwoPeopleNeeded(
            f"You worked on {comeback.original.number}, so somebody else compares the check-ins."
        )
    if not reason.strip():
        raise BadInput("Say what the photos and codes of both check-ins show.")
    if not ours and repair.state == State.TESTED:
        raise NotReady(f"{repair.number} is {repair.state}: it was repaired as the crew's own.")
    comeback.fault, comeback.reason = "ours" if ours else "other", reason.strip()[:300]
    comeback.decided_by, comeback.decided_on = by, on or clock.today()
    comeback.save()
    words = comeback.get_fault_display()
    record(by=by, action="comeback.fault", subject=repair.number, text=f"Fault: {words}. {comeback.reason}")
    if not ours and not repair.ended:
        cancel(by=by, repair=repair, reason=f"Not from {comeback.original.number}: {comeback.reason}", on=on)
    return comeback
