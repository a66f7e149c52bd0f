"""Writing down catalytic converters and waste."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.repairs.models import RepairOrder
from jobs.repairs.models_logs import Converter, ConverterEnd, Waste
from jobs.repairs.queries_logs import in_the_shop
from jobs.repairs.rules import State
from jobs.repairs.rules_logs import CONVERTER_ENDS, DIRECTIONS, WASTE

WORKED_ON = (State.IN_WORK, State.TESTED, State.HANDED_BACK)


@transaction.atomic
def log_converter(
    *, by: Person, second: Person, repair: RepairOrder, marking: str, words: str = "", on: date | None = None
) -> Converter:
    """A catalytic converter came off: two people say so, with the number stamped on it. The VIN is copied, sealed.

    Refuses one person alone, a repair that was never worked on, a missing number (write "none to be read"), and the
    same number twice on one repair.
    """
    require(by, "repair.write")
    two_people(by, second, "log a catalytic converter")
    on = _day(on)
    marking = marking.strip()
    if repair.state not in WORKED_ON:
        raise NotReady(f"{repair.number} is {repair.state}; nothing was taken off it.")
    if not marking:
        raise BadInput("Write the number stamped on it, or “none to be read”.")
    if repair.converters.filter(marking__iexact=marking).exists():
        raise AlreadyDone(f"The converter {marking} of {repair.number} is in the log already.")
    row = Converter.objects.create(
        repair=repair,
        on=on,
        vin=repair.vehicle.vin,
        marking=marking,
        words=words.strip(),
        by=by,
        second=second,
    )
    text = f"{repair.number}: converter {marking} taken off, logged by {by.label} and {second.label}."
    record(by=by, action="converter.off", subject=repair.number, text=text)
    return row


@transaction.atomic
def log_converter_end(
    *,
    by: Person,
    second: Person,
    converter: Converter,
    went: str,
    where: str,
    paper: str = "",
    on: date | None = None,
) -> ConverterEnd:
    """Where a converter went. Refuses one person alone, a second end, a day before it came off, and a missing place.

    One that was sold needs the number of its paper.
    """
    require(by, "repair.write")
    two_people(by, second, "let a catalytic converter go")
    on = _day(on)
    if ConverterEnd.objects.filter(converter=converter).exists():
        raise AlreadyDone(f"Where the converter {converter.marking} went is in the log already.")
    if went not in CONVERTER_ENDS:
        raise BadInput("Say where it went: back to the store, to a recycler, or back to the owner.")
    if not where.strip():
        raise BadInput("Write the name of the place or the person who took it.")
    if went != "owner" and not paper.strip():
        raise BadInput("Write the number of the receipt or manifest that came with it.")
    if on < converter.on:
        raise BadInput(f"It came off on {converter.on}; it cannot have left before.")
    row = ConverterEnd.objects.create(
        converter=converter, on=on, went=went, where=where.strip(), paper=paper.strip(), by=by, second=second
    )
    number = converter.repair.number
    text = f"{number}: converter {converter.marking}, {CONVERTER_ENDS[went].lower()}: {row.where}."
    record(by=by, action="converter.end", subject=number, text=text)
    return row


@transaction.atomic
def log_waste(
    *,
    by: Person,
    direction: str,
    kind: str,
    quantity: int,
    repair: RepairOrder | None = None,
    where: str = "",
    paper: str = "",
    words: str = "",
    on: date | None = None,
) -> Waste:
    """Waste caught in the shop or taken away; quantity in thousandths of the kind's unit.

    A row is never changed: one with a minus and words takes back a slip of the pen. Refuses more taken away than was
    caught, a place that is missing, and a quantity of nothing.
    """
    require(by, "repair.write")
    on = _day(on)
    if direction not in DIRECTIONS or kind not in WASTE:
        raise BadInput("Say what it is, and whether it was caught here or taken away.")
    if not quantity:
        raise BadInput("Write how much it was.")
    if quantity < 0 and not words.strip():
        raise BadInput("A minus takes back an earlier row. Say which one, and why.")
    if direction == "taken" and not where.strip():
        raise BadInput("Write where it was taken.")
    row = Waste(
        on=on, direction=direction, kind=kind, quantity=quantity, repair=repair, by=by, words=words.strip(),
        where=where.strip() if direction == "taken" else "", paper=paper.strip(),
    )  # fmt: skip
    left = in_the_shop(kind) + (quantity if direction == "caught" else -quantity)
    if left < 0:
        raise BadInput(f"That is more {kind} than was written down as caught. Log what was caught first.")
    row.save()
    subject = repair.number if repair else "waste"
    text = f"{DIRECTIONS[direction]}: {row.count} {kind}{', ' + row.where if row.where else ''}."
    record(by=by, action="waste.log", subject=subject, text=text)
    return row


def _day(on: date | None) -> date:
    day = on or clock.today()
    if day > clock.today():
        raise BadInput(f"{day} has not come yet. Write the day it happened.")
    return day
