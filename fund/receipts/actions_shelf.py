from collections.abc import Mapping, Sequence
from datetime import date

from django.db import transaction
from django.db.models import QuerySet, Value
from django.db.models.functions import Lower

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import spend
from fund.ledger.actions import post
from fund.ledger.chart import SHELF, SHELF_LOSS
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money, total
from fund.numbers import next_code
from fund.receipts.counting import changes_of_count
from fund.receipts.homes import HOMES
from fund.receipts.models import ShelfCount, ShelfIssue, ShelfLot
from fund.receipts.quantities import UNITS, quantity_words
from fund.receipts.refusals import refuse_taking
from fund.receipts.rules_shelf import Left, Take, first_in_first_out, home_of_issue
from fund.refusal import BadInput
from fund.trail.actions import record


@transaction.atomic
def receive_lot(
    *,
    by: Person,
    item: str,
    unit: str,
    quantity: int,
    cost: Money,
    on: date,
    source: str,
    entry: Entry | None,
    condition: str = "",
) -> ShelfLot:
    """A lot that did not come by receipt (a given part). The caller has booked ``cost`` to the shelf in ``entry``.

    ``quantity`` in thousandths of ``unit``. A lot that cost nothing has no entry and is taken for used unless
    ``condition`` (new, reman, used) says otherwise: what is new is worth something. Refuses an unknown unit, no quantity
    and a cost below zero.
    """
    if unit not in UNITS or quantity <= 0 or cost < Money.zero or not item.strip():
        raise BadInput("A lot needs a name, a unit, a quantity above 0 and a cost of 0.00 or more.")
    lot = ShelfLot.objects.create(
        code=next_code(ShelfLot, "code", "L-"),
        item=item.strip()[:80],
        unit=unit,
        quantity=quantity,
        cost=cost,
        left_quantity=quantity,
        left_cost=cost,
        on=on,
        source=source,
        entry=entry,
        condition=condition or ("-" if cost else "used"),
    )
    text = f"{lot.code}: {quantity_words(quantity, unit)} of {lot.item} onto the shelf at {cost}."
    record(
        by=by,
        action="shelf.receive",
        subject=lot.code,
        text=text,
        data={"entry": entry.number if entry else None},
    )
    return lot


@transaction.atomic
def issue_from_shelf(
    *,
    by: Person,
    quantity: int,
    on: date,
    item: str = "",
    unit: str = "",
    lot: ShelfLot | None = None,
    cost_object: str | None = None,
    home: str = "",
    late_reason: str = "",
) -> list[ShelfIssue]:
    """Take a quantity (thousandths) for a repair, or for the shop when ``home`` is supplies or tool.

    By ``item`` (and ``unit``, when an item lies there in two): first in, first out over its lots. By ``lot``: from that
    one. The cost is what the lots cost with their tax, never today's price, and counts against what was promised to the
    repair. Refuses more than is there on that day, a day still to come, a cost above the approval, and what buying for the
    repair would be refused for (``refusals.refuse_taking``): somebody tied to its household, and a day after its work ended
    unless it is for a comeback, with ``late_reason``.
    """
    require(by, "shelf.issue")
    hold_books()
    if on > clock.today():
        raise BadInput(f"{on} is still to come.")
    lots = _lots(item, unit, lot, on)
    home = home or home_of_issue(lots[0].unit)
    refuse_taking(by, home, cost_object, on, late_reason)
    by_code = {row.code: row for row in lots}
    left = [Left(row.code, row.left_quantity, row.left_cost) for row in lots]
    takes = first_in_first_out(left, quantity, lots[0].item, lots[0].unit)
    entry = _book_issue(by, takes, by_code, home, cost_object, on, late_reason.strip()[:100])
    issues = []
    for take in takes:
        move_lot(by_code[take.lot], -take.quantity, -take.amount)
        issues.append(
            ShelfIssue.objects.create(
                lot=by_code[take.lot],
                home=home,
                quantity=take.quantity,
                amount=take.amount,
                cost_object_id=cost_object,
                on=on,
                entry=entry,
                issued_by=by,
            )
        )
    return issues


def preview_issue(
    *,
    by: Person,
    quantity: int,
    on: date,
    item: str,
    unit: str = "",
    cost_object: str | None = None,
    home: str = "",
    late_reason: str = "",
) -> list[Take]:
    """What an issue would take from which lot at what cost. Writes nothing; refuses as the issue would."""
    lots = _lots(item, unit, None, on)
    refuse_taking(by, home or home_of_issue(lots[0].unit), cost_object, on, late_reason)
    left = [Left(row.code, row.left_quantity, row.left_cost) for row in lots]
    return first_in_first_out(left, quantity, lots[0].item, lots[0].unit)


def lots_of_item(item: str, unit: str, lot: ShelfLot | None, on: date) -> QuerySet[ShelfLot]:
    """What there is of an item on a day, oldest first; of one lot alone if it is named."""
    rows = ShelfLot.objects.filter(on__lte=on)
    if lot is not None:
        return rows.filter(pk=lot.pk)
    # By the index over lower(item); the engine lowers both sides, for it knows fewer letters than Python.
    rows = rows.alias(low=Lower("item")).filter(low=Lower(Value(item.strip())), left_quantity__gt=0)
    return (rows.filter(unit=unit) if unit else rows).order_by("on", "pk")


def _lots(item: str, unit: str, lot: ShelfLot | None, on: date) -> list[ShelfLot]:
    found = list(lots_of_item(item, unit, lot, on))
    if not found:
        raise BadInput(
            f"There was no {lot.item if lot else item.strip() or 'such thing'} on the shelf on {on}."
        )
    if len({row.unit for row in found}) > 1:
        raise BadInput(f"{found[0].item} lies on the shelf in two units. Say which.")
    return found


def _book_issue(
    by: Person,
    takes: Sequence[Take],
    lots: dict[str, ShelfLot],
    home: str,
    cost_object: str | None,
    on: date,
    why: str,
) -> Entry | None:
    amount = total(take.amount for take in takes)
    first = lots[takes[0].lot]
    words = quantity_words(sum(take.quantity for take in takes), first.unit)
    text = f"{words} of {first.item} from the shelf for {cost_object or HOMES[home].label}"
    text += f": {why}" if why else ""
    if not amount:
        # Given at no value, or the last unit of a lot whose cents are used up: the taking is kept, with no money.
        record(by=by, action="shelf.issue", subject=first.code, text=text)
        return None
    lines = [dr(HOMES[home].account, amount, cost_object=cost_object, text=text)]
    lines += [cr(SHELF, take.amount, text=f"{take.lot} {first.item}") for take in takes]
    entry = post(by=by, draft=EntryDraft("shelf issue", on, text, lines, first.code))
    if cost_object:
        spend(by=by, cost_object=cost_object, amount=amount, entry=entry)
    record(by=by, action="shelf.issue", subject=first.code, text=text, data={"entry": entry.number})
    return entry


def move_lot(lot: ShelfLot, quantity: int, cost: Money) -> None:
    """Change what is left of a lot, under the books lock and beside the row that says why."""
    lot.left_quantity += quantity
    lot.left_cost += cost
    lot.save(update_fields=["left_quantity", "left_cost"])


@transaction.atomic
def count_shelf(*, by: Person, lot: ShelfLot, counted_quantity: int, on: date) -> ShelfCount:
    """Write down what was found of a lot (thousandths). What is missing is written off at what it cost.

    What turns up again comes back at what was written off for it. Refuses what ``counting`` refuses: more than can be there,
    a day before the lot's last move, before it came or still to come. A count that agrees is kept too.
    """
    require(by, "shelf.issue")
    hold_books()
    lot = ShelfLot.objects.get(pk=lot.pk)
    change = changes_of_count({lot: counted_quantity}, on)[lot]
    expected = quantity_words(lot.left_quantity, lot.unit)
    text = f"{lot.code} {lot.item}: {quantity_words(counted_quantity, lot.unit)} counted, {expected} expected"
    entry = None
    if change.amount:
        lines = [dr(SHELF, change.amount, text=text), cr(SHELF_LOSS, change.amount, text=text)]
        entry = post(by=by, draft=EntryDraft("shelf count", on, text, lines, lot.code))
    count = ShelfCount.objects.create(
        lot=lot,
        expected=lot.left_quantity,
        counted=counted_quantity,
        quantity=change.quantity,
        amount=change.amount,
        on=on,
        entry=entry,
        counted_by=by,
    )
    move_lot(lot, change.quantity, change.amount)
    record(
        by=by, action="shelf.count", subject=lot.code, text=f"{text}.", data={"amount": change.amount.minor}
    )
    return count


@transaction.atomic
def count_many(*, by: Person, counted: Mapping[ShelfLot, int], on: date) -> list[ShelfCount]:
    """Write down what was found of several lots (thousandths each) in one round of the shelf: all of it or none."""
    if not counted:
        raise BadInput("Write how much was found of at least one lot.")
    return [
        count_shelf(by=by, lot=lot, counted_quantity=quantity, on=on) for lot, quantity in counted.items()
    ]
