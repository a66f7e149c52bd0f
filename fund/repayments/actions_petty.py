from datetime import date

from django.db import transaction

from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.bank.rules import BOX_SUM
from fund.ledger.actions import post
from fund.ledger.chart import BANK, OVER_SHORT, PETTY_CASH
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import BadInput, NotReady
from fund.repayments.gate import refuse_day, require_in_bank, require_last_move
from fund.repayments.models import PettyCashCount, PettyCashFloat
from fund.repayments.queries import petty_cash
from fund.repayments.rules import NOTE_ABOVE
from fund.trail.actions import record


@transaction.atomic
def set_petty_cash(*, by: Person, seen_by: Person, amount: Money, on: date) -> PettyCashFloat:
    """Fix the sum petty cash is kept at, and move the difference to the old sum between bank and box.

    ``amount`` 0.00 closes the box. ``seen_by`` sees the money go from hand to hand. Refuses one person for both, taking
    out more than the box holds, and putting in more than the bank has for general use.
    """
    require(by, "petty.keep")
    require(seen_by, "petty.count")
    two_people(by, seen_by, "move money between the bank account and petty cash")
    hold_books()
    refuse_day(on)
    now = petty_cash()
    if amount < Money.zero:
        raise BadInput("Petty cash is kept at 0.00 or more.")
    change = amount - now.float
    if change == Money.zero:
        raise BadInput(f"Petty cash is kept at {amount} already.")
    if -change > now.held:
        raise NotReady(
            f"The box holds {now.held} in the books; top it up before {-change} is taken out of it."
        )
    require_in_bank(change)
    text = f"Petty cash set from {now.float} to {amount}"
    lines = [dr(PETTY_CASH, change), cr(BANK, change)]
    entry = post(by=by, draft=EntryDraft("petty cash", on, text, lines, BOX_SUM))
    row = PettyCashFloat.objects.create(amount=amount, on=on, entry=entry, set_by=by, seen_by=seen_by)
    told = f"{text}, with {seen_by.label}."
    record(by=by, action="petty.set", subject="petty cash", text=told, data={"entry": entry.number})
    return row


@transaction.atomic
def top_up_petty_cash(*, by: Person, on: date) -> Entry:
    """Bring the box back to its fixed sum out of the bank: by what was spent and what was found missing.

    Refuses a box that is full, or whose sum has not been set, and more than the bank has for general use.
    """
    require(by, "petty.keep")
    hold_books()
    refuse_day(on)
    now = petty_cash()
    if not now.float:
        raise NotReady("Set the sum petty cash is kept at first.")
    if not now.top_up:
        raise NotReady(f"Petty cash holds {now.held}, its whole sum. There is nothing to top up.")
    require_in_bank(now.top_up)
    lines = [dr(PETTY_CASH, now.top_up), cr(BANK, now.top_up)]
    entry = post(by=by, draft=EntryDraft("petty cash", on, "Petty cash topped up", lines, "petty cash"))
    text = f"Petty cash topped up by {now.top_up} to {now.float}."
    record(by=by, action="petty.top_up", subject="petty cash", text=text, data={"entry": entry.number})
    return entry


@transaction.atomic
def count_petty_cash(
    *, by: Person, seen_by: Person, counted: Money, on: date, note: str = ""
) -> PettyCashCount:
    """Two people count the box; a difference to the books is booked as over or short. A count that agrees is kept too.

    Refuses a day before the box's last move, and a difference of more than 5.00 that no note explains.
    """
    require(by, "petty.count")
    require(seen_by, "petty.count")
    two_people(by, seen_by, "count petty cash")
    hold_books()
    refuse_day(on)
    if counted < Money.zero:
        raise BadInput("A box cannot hold less than 0.00.")
    require_last_move(on)
    held = petty_cash().held
    change = counted - held
    if abs(change) > NOTE_ABOVE and not note.strip():
        raise BadInput(
            f"You counted {counted} and the books hold {held}. Count once more; if it stays so, say in the note why."
        )
    text = f"Petty cash counted {counted}, books {held}"
    entry = None
    if change:
        lines = [dr(PETTY_CASH, change), cr(OVER_SHORT, change)]
        entry = post(by=by, draft=EntryDraft("petty cash", on, text, lines, "petty cash"))
    row = PettyCashCount.objects.create(
        counted=counted,
        expected=held,
        on=on,
        entry=entry,
        counted_by=by,
        seen_by=seen_by,
        note=note.strip()[:200],
    )
    told = f"{text}, with {seen_by.label}."
    record(by=by, action="petty.count", subject="petty cash", text=told, data={"change": change.minor})
    return row
