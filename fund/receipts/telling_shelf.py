"""What taking, counting and returning will do, in sentences, before it is done: question, lines, words of the button."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from fund.access.models import Person
from fund.money import Money, total
from fund.receipts.actions_shelf import preview_issue
from fund.receipts.counting import changes_of_count
from fund.receipts.models import CoreDeposit, ShelfLot
from fund.receipts.quantities import quantity_words
from fund.receipts.rules_shelf import core_ending
from fund.refusal import NotReady

Asked = tuple[str, list[str], str]


def what_taking_does(
    by: Person, item: tuple[str, str], quantity: int, cost_object: str, **more: Any
) -> Asked:
    """``item`` is the unit and the name, ``more`` goes to the issue. Refuses as the issue would."""
    unit, name = item
    takes = preview_issue(
        by=by, quantity=quantity, item=name, unit=unit, cost_object=cost_object or None, **more
    )
    amount = total(take.amount for take in takes)
    lines = [f"{quantity_words(take.quantity, unit)} out of {take.lot}: {take.amount}" for take in takes]
    goes = f"{cost_object} is charged {amount}." if cost_object else f"Booked as a cost: {amount}."
    return f"Take {quantity_words(quantity, unit)} of {name} from the shelf?", [*lines, goes], "Take it"


def what_counting_does(lot: ShelfLot, counted_quantity: int, on: date) -> Asked:
    """Refuses as the count would."""
    change = changes_of_count({lot: counted_quantity}, on)[lot]
    counted = quantity_words(counted_quantity, lot.unit)
    if not change.quantity:
        return (
            f"{counted} of {lot.item}, as in the books?",
            ["The count is kept; nothing is booked."],
            "Keep it",
        )
    side = (
        "missing and written off at cost"
        if change.quantity < 0
        else "more than in the books, put back at cost"
    )
    words = quantity_words(abs(change.quantity), lot.unit)
    return f"{counted} of {lot.item}?", [f"{words} {side}: {abs(change.amount)}."], "Book the difference"


def what_a_round_does(counted: Mapping[ShelfLot, int], on: date) -> Asked:
    """Every difference of a round of the shelf, line by line; what agrees is told in one. Refuses as the counts would."""
    lines, lost, same = [], Money.zero, 0
    for lot, change in changes_of_count(counted, on).items():
        if not change.quantity:
            same += 1
            continue
        lost -= change.amount
        words = quantity_words(abs(change.quantity), lot.unit)
        side = "missing" if change.quantity < 0 else "more than in the books"
        lines.append(f"{lot.item}, {lot.code}: {words} {side}, {abs(change.amount)}.")
    agree = [f"{same} of {len(counted)} lots agree with the books."] if same else []
    sums = (
        [f"Together {abs(lost)} {'is written off' if lost >= Money.zero else 'comes back'} at cost."]
        if lines
        else []
    )
    return f"Keep the count of {len(counted)} lots?", [*lines, *sums, *agree], "Keep it"


def what_returning_does(core: CoreDeposit, cleaned: dict[str, Any]) -> Asked:
    """``cleaned`` as of the form for a return."""
    back = cleaned["amount_back"]
    lost = core_ending(core.amount, cleaned["kind"], back, cleaned.get("tax_kept") or Money.zero)
    lines = []
    if back and cleaned["to"] == "crew":
        lines.append(f"{cleaned['person'].label} owes the fund {back}.")
    elif back and cleaned["to"] == "bill":
        lines.append(f"{back} less is to pay of {cleaned['bill'].code}.")
    elif back:
        lines.append(f"{back} comes back to the fund.")
    if kept := cleaned.get("tax_kept"):
        lines.append(f"{kept} of tax is kept by the store and becomes a cost of the part.")
    if lost:
        of = f" of {core.cost_object_id}" if core.cost_object_id else ""
        lines.append(f"{lost} is lost and booked as a cost{of}.")
    return (
        f"End {core.code}, {core.item}, like this?",
        [*lines, "The cost of its part does not move."],
        "Book it",
    )


def what_handing_over_does(core: CoreDeposit | None, cleaned: dict[str, Any]) -> Asked:
    """As above, with the deposit that was found named first, and why it is that one."""
    if core is None:
        raise NotReady("No such core is out.")
    question, lines, yes = what_returning_does(core, cleaned)
    receipt = core.portion.line.receipt
    why = "by the receipt shown" if cleaned["receipt"] else "the oldest of this part there"
    found = f"It is {core.code} of {receipt.code}, bought on {core.on}, {core.amount}: {why}."
    return question, [found, *lines], yes
