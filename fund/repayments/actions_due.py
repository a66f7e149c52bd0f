"""What a crew member owes the fund because it was paid to them by mistake, and how it comes back."""

from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import BANK, DUE_FROM_CREW, PETTY_CASH
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import BadInput, NotEnoughMoney, TwoPeopleNeeded
from fund.repayments.gate import refuse_day, require_owed
from fund.repayments.queries import due_from, gifts_with
from fund.trail.actions import record

PURSES = {"bank": BANK, "petty cash": PETTY_CASH}


def _refuse(by: Person, person: Person, on: date, verb: str) -> None:
    if by.pk == person.pk:
        raise TwoPeopleNeeded(
            f"Nobody may {verb} money for themselves. Ask another person with the same role."
        )
    refuse_day(on)


@transaction.atomic
def settle_due(*, by: Person, person: Person, amount: Money, on: date) -> Entry:
    """A crew member pays back into the bank what they owe the fund. Refuses more than that and their own hand.

    Gifts on their own account are no such debt; they come to the bank by ``hand_over``.
    """
    require(by, "repay.prepare")
    _refuse(by, person, on, "settle")
    hold_books()
    due = due_from(person)
    if not Money.zero < amount <= due:
        raise BadInput(f"{person.label} owes the fund {due}; {amount} cannot be settled.{_gifts_too(person)}")
    require_owed(DUE_FROM_CREW, person, amount, on)
    text = f"{person.label} paid back {amount}"
    lines = [dr(BANK, amount), cr(DUE_FROM_CREW, amount, party=person.username)]
    entry = post(by=by, draft=EntryDraft("crew paid back", on, text, lines, person.username))
    record(
        by=by, action="repay.settle", subject=person.username, text=f"{text}.", data={"entry": entry.number}
    )
    return entry


def _gifts_too(person: Person) -> str:
    gifts = gifts_with(person)
    where = f" Gifts of {gifts} are on their own account: they come to the bank under Gifts, Open matters."
    return where if gifts else ""


@transaction.atomic
def record_overpayment(
    *, by: Person, person: Person, amount: Money, on: date, reason: str, out_of: str = "bank"
) -> Entry:
    """Money that went to a crew member by mistake (twice, too much, to the wrong person): they owe it to the fund.

    ``out_of`` is bank or petty cash. It comes back by ``settle_due`` or is kept from a later repayment. Refuses one's own
    money, nothing or less, more than petty cash holds, and an empty reason.
    """
    require(by, "repay.prepare")
    _refuse(by, person, on, "book")
    hold_books()
    if amount <= Money.zero or out_of not in PURSES:
        raise BadInput("Write how much went out by mistake, and whether from the bank or petty cash.")
    if not reason.strip():
        raise BadInput("Say in a few words how it happened.")
    if out_of == "petty cash" and amount > (held := balance(PETTY_CASH)):
        raise NotEnoughMoney(f"Petty cash holds {held} in the books, not {amount}.")
    text = f"Paid to {person.label} by mistake: {reason.strip()}"
    lines = [dr(DUE_FROM_CREW, amount, party=person.username), cr(PURSES[out_of], amount)]
    entry = post(by=by, draft=EntryDraft("overpaid", on, text[:200], lines, person.username))
    told = f"{amount} {text[0].lower()}{text[1:]}"
    record(by=by, action="repay.overpaid", subject=person.username, text=told, data={"entry": entry.number})
    return entry
