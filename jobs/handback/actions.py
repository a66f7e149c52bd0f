"""The road test: signed, kept as it was, and never changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput, NotReady
from fund.rulebook.queries import rule
from fund.trail.actions import record
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import FluidLine
from jobs.handback.queries import did_the_work
from jobs.handback.queries_proof import fluids_charged, kinds_charged, standing_refusals
from jobs.handback.rules import SAFETY_LINES, Drive, Result, refusals
from jobs.handback.rules_drive import Figures, implausible, yard_proves_nothing
from jobs.handback.rules_fluids import none_with_figures, not_told
from jobs.handback.rules_proof import FluidDraft, code_refusals, fluid_refusals
from jobs.hours.rules import day
from jobs.repairs.actions_steps import mark_tested, reopen
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.queries_bounds import bounds_of
from jobs.repairs.rules import State
from jobs.repairs.rules_bounds import drive_refusal
from jobs.repairs.ties import refuse_tied_hand


@dataclass(frozen=True)
class Observed:
    """What was seen and read on a road test beside the figures that decide; every part may stay empty.

    Temperatures in degrees Fahrenheit, torque in pound-feet.
    """

    passenger: str = ""
    ambient_f: int | None = None
    in_traffic: bool = False
    on_hill: bool = False
    on_highway: bool = False
    noises: str = ""
    pull: str = ""
    brake: str = ""
    lights_after: str = ""
    codes_before: str = ""
    codes_cleared: str = ""
    codes_pending: str = ""
    readiness: str = "not read"
    monitors: str = ""
    leaks: str = ""
    wheel_torque_lbft: int | None = None
    wheel_torque_by: Person | None = None


@transaction.atomic
def record_road_test(
    *,
    by: Person,
    repair: RepairOrder,
    on: date,
    driver: Person,
    odometer_out: int,
    odometer_in: int,
    minutes: int,
    route: str,
    safety: Mapping[str, bool],
    complaint_returned: bool,
    result: str,
    observed: Observed | None = None,
    fluids: Sequence[FluidDraft] = (),
    note: str = "",
    same_person_reason: str = "",
) -> RoadTest:
    """Sign a road test; a pass or "could not duplicate" moves the repair on, a fail puts it back in the bay.

    ``safety`` maps the names of ``rules.SAFETY_LINES`` to yes (True) or no; odometer in whole miles; ``fluids`` in
    thousandths of a quart. ``by`` is who signs. Refuses who is tied to the household; a vehicle whose owner refused what
    makes it safe; a drive the household does not agree to on that day, and one on the road where consent or decision allow
    the yard only; figures that cannot be true (``rules_drive``); a pass without every safety line, without miles on the
    odometer, with the complaint back, with a fluid off its mark or untold, a cleared code back, or shorter than the fund's
    factor times what an intermittent fault took to show; and a signature of somebody who did the work, unless a reason
    says why nobody else could sign.
    """
    require(by, "roadtest.record")
    hold(repair)
    refuse_tied_hand(by, repair, "signs the road test")
    if repair.state not in (State.IN_WORK, State.TESTED):
        raise NotReady(f"{repair.number} is {repair.state}. A road test comes after the work has begun.")
    refused = standing_refusals(repair).first()
    if refused:
        raise NotReady(
            f"The owner refused what makes it safe: {refused.text}. It is not driven. Stop the repair, or let an owner of"
            " the fund decide whether the other work goes back untested."
        )
    bounds = bounds_of(repair, on)
    if why_not := drive_refusal(bounds, route):
        raise NotReady(why_not)
    factor = rule("road_test_factor_tenths", on)
    seen = observed or Observed()
    drive = Drive(
        odometer_out, odometer_in, minutes, complaint_returned, dict(safety), repair.intermittent,
        repair.owner_minutes_to_failure, repair.owner_miles_to_failure, yard_only=bounds.yard_only,
    )  # fmt: skip
    against = refusals(_result(result), drive, factor_tenths=factor, note=note)
    if result != Result.FAIL:
        against += yard_proves_nothing(route, intermittent=repair.intermittent, yard_only=bounds.yard_only)
        kinds = kinds_charged(repair)
        against += fluid_refusals(
            fluids, fluids_in_cost=not kinds and bool(fluids_charged(repair)), passing=True
        )
        against += not_told(kinds, fluids)
        against += code_refusals(
            cleared=seen.codes_cleared, pending=seen.codes_pending, readiness=seen.readiness
        )
    else:
        against += fluid_refusals(fluids, fluids_in_cost=False, passing=False)
    against += none_with_figures(fluids)
    figures = Figures(odometer_out, odometer_in, minutes, repair.mileage_in)
    if wrong := implausible(figures, note):
        raise BadInput("These figures cannot be right.", wrong)
    claimed = _check_test(by, repair, on, _result(result), against, same_person_reason)
    test = RoadTest.objects.create(
        repair=repair, on=on, driver=driver, odometer_out=odometer_out, odometer_in=odometer_in, minutes=minutes,
        route=route, complaint_returned=complaint_returned, intermittent=repair.intermittent,
        owner_minutes=repair.owner_minutes_to_failure, owner_miles=repair.owner_miles_to_failure,
        factor_tenths=factor, result=claimed.value, note=note.strip(), signed_by=by, signed_at=clock.now(),
        same_person_reason=same_person_reason.strip(), **vars(seen),
        **{name: bool(safety.get(name)) for name, _ in SAFETY_LINES},
    )  # fmt: skip
    FluidLine.objects.bulk_create(FluidLine(road_test=test, **vars(draft)) for draft in fluids)
    _move(by, repair, test, on)
    text = f"Road test of {day(on)}: {claimed.value}, {minutes} min, {drive.miles} miles, driven by {driver.label}."
    record(by=by, action="roadtest.record", subject=repair.number, text=text)
    return test


def _result(result: str) -> Result:
    if result not in list(Result):
        raise BadInput("Say how the road test ended: pass, fail, or could not duplicate.")
    return Result(result)


def _check_test(
    by: Person, repair: RepairOrder, on: date, claimed: Result, against: list[str], reason: str
) -> Result:
    if on > clock.today():
        raise BadInput(f"{day(on)} has not come yet. A road test is recorded once it is driven.")
    if repair.started_on and on < repair.started_on:
        raise BadInput(
            f"Work began on {day(repair.started_on)}; the road test comes after it. Check the day."
        )
    if against:
        words = (
            "This cannot be signed as a failed test"
            if claimed is Result.FAIL
            else f"This is not a “{claimed.value}”"
        )
        raise BadInput(
            f"{words}: {against[0]}" if len(against) == 1 else f"{words} yet.", against[1:] and against
        )
    if claimed is not Result.FAIL and by.pk in did_the_work(repair) and not reason.strip():
        raise BadInput(
            "You did the work, so somebody else should sign the road test. If nobody else can, write the reason."
        )
    return claimed


def _move(by: Person, repair: RepairOrder, test: RoadTest, on: date) -> None:
    if test.result == Result.FAIL:
        reopen(by=by, repair=repair, reason=test.note or "road test failed", on=on)
    elif repair.state == State.IN_WORK:
        mark_tested(by=by, repair=repair, on=on)
