from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.queries_read import refuse_older
from jobs.estimates.rules import CONDITIONS, LineDraft, add_up
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State, check_step
from jobs.repairs.ties import refuse_tied_hand
from jobs.vehicles.queries_desk import last_lookup


@transaction.atomic
def set_estimate(
    *,
    by: Person,
    repair: RepairOrder,
    lines: Sequence[LineDraft],
    on: date | None = None,
    read: str | None = None,
) -> RepairOrder:
    """Write the estimate anew, all its lines at once. Amounts in minor units, core deposits as their own kind.

    Refuses an empty estimate, a line without words or below zero, a repair that is already approved (that takes a
    supplement), and one whose fault an open recall covers: the maker pays for that. A yes given to an older estimate
    as the first of two lapses by itself: it names the lines it was given to. ``read`` is the mark of the estimate that
    stood on the page; one that somebody else wrote meanwhile is not written over unread.
    """
    require(by, "repair.write")
    hold(repair)
    refuse_older(repair, read)
    if repair.promised:
        raise NotReady(f"{repair.number} is {repair.state}. Ask for a supplement to add to the estimate.")
    check_step(repair.number, repair.state, State.ESTIMATED)
    check_lines(lines)
    refuse_recall(repair)
    repair.estimate_lines.all().delete()
    _write(repair, 0, lines)
    repair.state, repair.estimate_by, repair.estimated_on = State.ESTIMATED, by, on or clock.today()
    repair.stopped_on, repair.stop_reason = None, ""
    repair.save()
    found = add_up(lines)
    text = f"{repair.number} estimated at {found.cost.dollars}, core deposits {found.cores.dollars}."
    data = {"cost": found.cost.minor, "cores": found.cores.minor}
    record(by=by, action="estimate.set", subject=repair.number, text=text, data=data)
    return repair


@transaction.atomic
def request_supplement(
    *, by: Person, repair: RepairOrder, lines: Sequence[LineDraft], reason: str, on: date | None = None
) -> SupplementRequest:
    """Ask for more than was approved, before it is bought. ``lines`` are only what comes on top.

    No lines at all asks for a yes to a changed cause at the same cost. Refuses who is tied to the household, a repair
    without an approval, a second open request, and an empty reason.
    """
    require(by, "repair.write")
    hold(repair)
    refuse_tied_hand(by, repair, "asks for more")
    if not repair.promised:
        raise NotReady(f"{repair.number} is {repair.state}. A supplement adds to an approval that stands.")
    if repair.supplement_requests.filter(answer="").exists():
        raise AlreadyDone(f"{repair.number} already has a supplement waiting. Wait for the answer to it.")
    if not reason.strip():
        raise BadInput("Say why more is needed than was approved.")
    if lines:
        check_lines(lines)
    number = repair.supplement_requests.count() + 1
    request = SupplementRequest.objects.create(
        repair=repair, round=number, asked_by=by, asked_on=on or clock.today(), reason=reason.strip()
    )
    _write(repair, number, lines)
    text = f"{repair.number}: {add_up(lines).cost.dollars} more asked for. {request.reason}"
    record(by=by, action="supplement.ask", subject=repair.number, text=text)
    return request


def refuse_recall(repair: RepairOrder) -> None:
    lookup = last_lookup(repair)
    if lookup is not None and lookup.found == "covers":
        raise NotReady(
            f"An open recall covers the fault of {repair.number}: a dealer of the maker repairs it at no cost. Send it there."
        )


def check_lines(lines: Sequence[LineDraft]) -> None:
    """Refuse what no estimate can hold, naming the line."""
    if not lines:
        raise BadInput("An estimate needs at least one line.")
    for place, line in enumerate(lines, start=1):
        if not line.text.strip():
            raise BadInput(f"Line {place} has an amount but no words. Say what it is for.")
        if line.amount < Money.zero:
            raise BadInput(f"Line {place} “{line.text}” is below zero. Write what it costs.")
        if not line.amount:
            raise BadInput(f"Line {place} “{line.text}” has no amount. Price it, or take the line out.")
        if line.quantity <= 0:
            raise BadInput(f"Line {place} “{line.text}” needs a quantity above zero.")
        _check_other(place, line)
        if line.condition and line.condition not in CONDITIONS:
            raise BadInput(f"Line {place} “{line.text}”: a part is new, reman or used.")
    if not add_up(lines).cost:
        raise BadInput("These lines are only core deposits. Add what the repair costs.")


def _check_other(place: int, line: LineDraft) -> None:
    if line.other_amount is not None and line.other_amount <= Money.zero:
        raise BadInput(f"Line {place} “{line.text}”: the other price must be above zero, or left empty.")
    if line.other_store.strip() and line.other_amount is None:
        raise BadInput(f"Line {place} “{line.text}”: write what {line.other_store.strip()} asks for it.")


def _write(repair: RepairOrder, number: int, lines: Sequence[LineDraft]) -> None:
    EstimateLine.objects.bulk_create(
        EstimateLine(
            repair=repair,
            round=number,
            ordinal=place,
            kind=line.kind.value,
            text=line.text.strip(),
            quantity=line.quantity,
            unit=line.unit.strip(),
            amount=line.amount,
            condition=line.condition,
            store=line.store.strip(),
            other_amount=line.other_amount,
            other_store=line.other_store.strip(),
        )
        for place, line in enumerate(lines, start=1)
    )
