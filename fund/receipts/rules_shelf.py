"""Taking from the shelf: oldest lot first, at what that lot cost. Pure: no database, no clock."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fund.ledger.chart import CORES, CORES_LOST, PARTS
from fund.ledger.rules import LineDraft, cr, dr
from fund.money import Money, split
from fund.receipts.quantities import FLUID_UNITS, quantity_words
from fund.refusal import BadInput, NotReady


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a lot: ``quantity`` in thousandths of a unit, ``cost`` of that quantity."""

    lot: str
    quantity: int
    cost: Money


@dataclass(frozen=True, slots=True)
class Take:
    lot: str
    quantity: int
    amount: Money


def cost_of_part(left: Left, quantity: int) -> Money:
    """What a quantity out of the rest of a lot costs. The last one out takes whatever cents are left."""
    return split(left.cost, [quantity, left.quantity - quantity])[0]


def first_in_first_out(lots: Sequence[Left], quantity: int, item: str, unit: str) -> list[Take]:
    """Take from the lots in the order given (oldest first). Refuses more than there is, and less than nothing."""
    if quantity <= 0:
        raise BadInput("Take more than 0.")
    there = sum(lot.quantity for lot in lots)
    if quantity > there:
        held = quantity_words(there, unit) if there else "nothing"
        raise NotReady(f"The shelf has {held} of {item}, not {quantity_words(quantity, unit)}.")
    takes: list[Take] = []
    for lot in lots:
        some = min(quantity, lot.quantity)
        if some:
            takes.append(Take(lot.lot, some, cost_of_part(lot, some)))
            quantity -= some
    return takes


def count_difference(left: Left, most: Left, came: int, counted: int) -> Take:
    """The change a count makes: quantity and amount are minus when something is missing.

    ``most`` is what of the lot was never taken from it: what came less all that was issued or went back to its store. What
    lies between it and ``left`` was missing at earlier counts; it comes back at what was written off for it. Refuses more.
    """
    if counted < 0 or counted > most.quantity:
        gone = came - most.quantity
        since = f" and {gone / 1000:g} of it left since" if gone else ""
        raise BadInput(
            f"{left.lot} had {came / 1000:g} when it was new{since}; it cannot hold {counted / 1000:g} now."
            + (" What was not used is put back where its taking stands." if gone else "")
        )
    change = counted - left.quantity
    if change <= 0:
        return Take(left.lot, change, -cost_of_part(left, -change) if change else Money.zero)
    missing = Left(left.lot, most.quantity - left.quantity, most.cost - left.cost)
    return Take(left.lot, change, cost_of_part(missing, change))


def home_of_issue(unit: str) -> str:
    """A fluid is booked as a fluid, everything else as a part."""
    return "fluid" if unit in FLUID_UNITS else "part"


def core_ending(amount: Money, kind: str, back: Money, tax_kept: Money = Money.zero) -> Money:
    """What is lost of a core deposit that ends this way. Refuses an amount that does not fit the kind.

    With ``tax_kept`` all of the deposit itself came back and the store kept the tax on it.
    """
    if tax_kept:
        if kind != "full" or back + tax_kept != amount or back <= Money.zero:
            raise BadInput(
                f"The deposit with its tax was {amount}; with {tax_kept} of tax kept, {amount - tax_kept} comes back."
            )
        return Money.zero
    if back < Money.zero or back > amount:
        raise BadInput(f"The deposit was {amount}; {back} cannot come back of it.")
    if kind == "full" and back != amount:
        raise BadInput(f"All of it back means {amount}. If the store kept some, choose “part of it back”.")
    if kind == "part" and not Money.zero < back < amount:
        raise BadInput(f"Part of it back means more than 0.00 and less than {amount}.")
    if kind in ("refused", "lapsed") and back:
        raise BadInput(f"A core that was {kind} brings nothing back. Choose “part of it back” for {back}.")
    return amount - back


def core_lines(
    account: str,
    party: str,
    amount: Money,
    back: Money,
    repair: str | None,
    text: str,
    tax_kept: Money = Money.zero,
) -> list[LineDraft]:
    """Money back against the receivable; what the store keeps is lost and named after the repair.

    ``tax_kept`` is sales tax the store does not return: it was paid to have the part, so it is a cost of the part.
    """
    return [
        dr(account, back, party=party, text=text),
        dr(PARTS if repair else CORES_LOST, tax_kept, cost_object=repair, text=f"{text}, tax kept"),
        dr(CORES_LOST, amount - back - tax_kept, cost_object=repair, text=text),
        cr(CORES, amount, cost_object=repair, text=text),
    ]


WARN_AT = (14, 7, 2)


def core_warns(left: int) -> bool:
    """Whether Today shows a core: from 14 days before its day on."""
    return left <= WARN_AT[0]


def days_left(due: date, today: date) -> int:
    """Days until a core must be back; minus when its day is past."""
    return (due - today).days


def core_warning(left: int) -> str:
    """The words beside a core's day: louder at 14, 7 and 2 days (common practice, no source)."""
    if left < 0:
        return f"{-left} days late" if left != -1 else "1 day late"
    words = "today" if left == 0 else "1 day left" if left == 1 else f"{left} days left"
    return f"{words}, bring it back now" if left <= 2 else f"{words}, plan the trip" if left <= 7 else words
