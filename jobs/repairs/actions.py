from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import add_cost_object
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.approvals.queries import cause_approved
from jobs.eligibility.queries import standing_decision
from jobs.estimates.queries_owner import owner_agreed
from jobs.intake.models import Application
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.queries_turn import comes_first
from jobs.repairs.rules import ENDED
from jobs.vehicles.models import Vehicle


@transaction.atomic
def open_repair(
    *,
    by: Person,
    application: Application,
    vehicle: Vehicle,
    complaint: str,
    job_type: str = "",
    intermittent: bool = False,
    owner_minutes_to_failure: int | None = None,
    owner_miles_to_failure: int | None = None,
    mileage_in: int | None = None,
    mechanic: Person | None = None,
    book_hours: int | None = None,
    on: date | None = None,
) -> RepairOrder:
    """Check a vehicle in. Book hours in tenths; minutes and miles are the owner's own until the fault shows.

    Refuses a request that was helped or has a repair under way, a household without an eligible decision in date, one
    whose turn it is not unless it was taken out of turn with a reason (intake.actions_order), somebody else's vehicle,
    a vehicle that is already in, and an empty complaint.
    """
    require(by, "repair.write")
    on = on or clock.today()
    application.refresh_from_db()
    household = application.household
    _refuse_second_help(application, vehicle)
    if standing_decision(application, on) is None:
        raise NotReady(
            f"{application.code} has no eligible decision that is in date on {on}. Ask a screener to decide first."
        )
    _refuse_out_of_turn(application, on)
    if vehicle.household_id != household.pk:
        raise BadInput(
            f"This vehicle does not belong to {household.alias}. Choose one of the household's own."
        )
    if not complaint.strip():
        raise BadInput("Write the complaint in the owner's own words.")
    number = next_code(RepairOrder, "number", "RO-")  # holds the books: no second opening slips between
    already = RepairOrder.objects.filter(vehicle=vehicle).exclude(state__in=ENDED).first()
    if already:
        raise AlreadyDone(f"{already.number} is already open for this vehicle. Write on that one.")
    if mileage_in is not None and (vehicle.mileage or 0) < mileage_in:
        vehicle.mileage = mileage_in
        vehicle.save(update_fields=["mileage"])
    label = f"{household.alias}, {vehicle.vehicle_class}"
    repair = RepairOrder.objects.create(
        number=number,
        cost_object=add_cost_object(by=by, code=number, label=label),
        application=application,
        household=household,
        vehicle=vehicle,
        alias=household.alias,
        vehicle_class=vehicle.vehicle_class,
        job_type=job_type.strip(),
        complaint=complaint.strip(),
        intermittent=intermittent,
        owner_minutes_to_failure=owner_minutes_to_failure,
        owner_miles_to_failure=owner_miles_to_failure,
        mileage_in=mileage_in,
        mechanic=mechanic,
        book_hours=book_hours,
        opened_on=on,
        opened_by=by,
    )
    record(by=by, action="repair.open", subject=number, text=f"{number} opened for {label}.")
    return repair


def _refuse_second_help(application: Application, vehicle: Vehicle) -> None:
    """One request is one repair: rules about how often and how much look at the household for each anew."""
    new = "a second vehicle or a new trouble is a request of its own; one that did not hold is a comeback"
    if application.state == "helped":
        raise NotReady(f"{application.code} was helped already: {new}. Take down a further request.")
    other = application.repairs.exclude(state__in=ENDED).exclude(vehicle=vehicle).order_by("pk").first()
    if other is not None:
        raise NotReady(f"{other.number} is open for {application.code} already: {new}.")


def _refuse_out_of_turn(application: Application, on: date) -> None:
    first = comes_first(application, on)
    if first is not None:
        raise NotReady(
            f"{first.household.alias} ({first.code}) comes first in the stated waiting order. Take {first.household.alias}, "
            f"or write why {application.household.alias} is taken out of turn."
        )


@transaction.atomic
def set_cause(*, by: Person, repair: RepairOrder, cause: str, book_hours: int | None = None) -> RepairOrder:
    """Write what was found by test. Book hours in tenths.

    A cause that changes after the approval stays unapproved until a supplement names it, even at 0.00.
    """
    _open_to_write(by, repair)
    if not cause.strip():
        raise BadInput("Write the cause: what was found, and by which test.")
    repair.cause = cause.strip()
    if book_hours is not None:
        repair.book_hours = book_hours
    repair.save()
    record(by=by, action="repair.cause", subject=repair.number, text=f"Cause: {repair.cause}")
    return repair


@transaction.atomic
def set_correction(*, by: Person, repair: RepairOrder, correction: str) -> RepairOrder:
    """Write what was done and how it was proved.

    Needs an approval first. A cause that turned out different needs a new yes from the fund and from the owner, even
    where the cost stays the same.
    """
    _open_to_write(by, repair)
    if not repair.promised:
        raise NotReady(
            f"{repair.number} is {repair.state}. The correction is written once the work is approved."
        )
    if not cause_approved(repair):
        raise NotReady(
            f"The cause of {repair.number} is not the one that was approved. Ask for a supplement, at 0.00 if the cost "
            "stays the same."
        )
    if not owner_agreed(repair):
        raise NotReady(
            f"The owner has not said yes to what {repair.number} needs now. Ask them, and write it down."
        )
    if not correction.strip():
        raise BadInput("Write the correction: what was done, and how it was proved.")
    repair.correction = correction.strip()
    repair.save()
    record(by=by, action="repair.correction", subject=repair.number, text=f"Correction: {repair.correction}")
    return repair


@transaction.atomic
def set_complaint(
    *,
    by: Person,
    repair: RepairOrder,
    complaint: str,
    job_type: str = "",
    intermittent: bool = False,
    owner_minutes_to_failure: int | None = None,
    owner_miles_to_failure: int | None = None,
    mileage_in: int | None = None,
) -> RepairOrder:
    """Correct what the owner said. Once money is promised the complaint stays as it was approved."""
    _open_to_write(by, repair)
    if repair.promised:
        raise NotReady(
            f"{repair.number} is {repair.state}; its complaint stays as it was approved. Add a finding."
        )
    if not complaint.strip():
        raise BadInput("Write the complaint in the owner's own words.")
    repair.complaint = complaint.strip()
    repair.job_type = job_type.strip()
    repair.intermittent = intermittent
    repair.owner_minutes_to_failure = owner_minutes_to_failure
    repair.owner_miles_to_failure = owner_miles_to_failure
    repair.mileage_in = mileage_in
    repair.save()
    record(
        by=by, action="repair.complaint", subject=repair.number, text=f"{repair.number}: complaint put right."
    )
    return repair


@transaction.atomic
def set_failure_point(
    *, by: Person, repair: RepairOrder, minutes: int | None = None, miles: int | None = None
) -> RepairOrder:
    """After how many minutes or miles the owner's fault shows; the road test has to go that far.

    Asked for as late as in the bay. Once the repair is approved a figure may be added or raised, never lowered.
    """
    _open_to_write(by, repair)
    if minutes is None and miles is None:
        raise BadInput("Write after how many minutes or miles the fault shows, as the owner tells it.")
    for before, now in (
        (repair.owner_minutes_to_failure, minutes),
        (repair.owner_miles_to_failure, miles),
    ):
        if repair.promised and before is not None and (now is None or now < before):
            raise NotReady(
                f"{repair.number} is {repair.state}: the owner's figure of {before} may only be raised."
            )
    repair.intermittent = True
    repair.owner_minutes_to_failure, repair.owner_miles_to_failure = minutes, miles
    repair.save()
    text = f"{repair.number}: the fault shows after {minutes or '?'} minutes, {miles or '?'} miles."
    record(by=by, action="repair.failure_point", subject=repair.number, text=text)
    return repair


@transaction.atomic
def assign_mechanic(*, by: Person, repair: RepairOrder, mechanic: Person | None) -> RepairOrder:
    """Say who does the work. Refused for the person who approved it: who works on it never approves it."""
    _open_to_write(by, repair)
    said = repair.approvals.exclude(kind="consumables").filter(approver=mechanic)
    if mechanic is not None and repair.promised and said.exists():
        raise NotReady(
            f"{mechanic.label} approved {repair.number} and cannot also do the work. Choose someone else."
        )
    repair.mechanic = mechanic
    repair.save()
    who = mechanic.label if mechanic else "nobody yet"
    record(by=by, action="repair.mechanic", subject=repair.number, text=f"{repair.number}: work by {who}.")
    return repair


def _open_to_write(by: Person, repair: RepairOrder) -> None:
    require(by, "repair.write")
    hold(repair)
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
