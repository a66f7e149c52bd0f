from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import ADVANCES, BANK
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from fund.repayments.gate import refuse_day, require_in_bank, require_owed
from fund.repayments.hands import require_preparer, require_releaser
from fund.repayments.models import Advance
from fund.repayments.queries import advance_of
from fund.repayments.queries_held import open_advances
from fund.trail.actions import record


@transaction.atomic
def prepare_advance(*, by: Person, person: Person, amount: Money, reason: str, on: date) -> Advance:
    """Ask for money that a crew member gets before spending it. Nothing is booked yet.

    Refuses one's own, nothing or less, an empty reason, and a person who holds an older advance past its limit.
    """
    require_preparer(by, person)
    hold_books()
    if amount <= Money.zero:
        raise BadInput("An advance is more than 0.00.")
    if not reason.strip():
        raise BadInput("Say what the advance is to buy.")
    late = [one for one in open_advances(person) if one.over]
    if late:
        raise NotReady(
            f"{person.label} still holds {late[0].left} of {late[0].advance.code}, {late[0].over} days past its limit. "
            "That comes back or is accounted for first."
        )
    advance = Advance.objects.create(
        code=next_code(Advance, "code", "AD-"),
        person=person,
        amount=amount,
        reason=reason.strip()[:160],
        on=on,
        prepared_by=by,
        prepared_at=clock.now(),
    )
    text = f"{advance.code}: {amount} in advance to {person.label} for {advance.reason}, prepared."
    record(by=by, action="advance.prepare", subject=advance.code, text=text)
    return advance


@transaction.atomic
def release_advance(*, by: Person, advance: Advance, on: date | None = None) -> Advance:
    """Pay a prepared advance out of the bank. Refuses as a repayment's release does, and more than the bank holds."""
    hold_books()
    advance = Advance.objects.select_related("person", "prepared_by").get(pk=advance.pk)
    require_releaser(by, advance.person, advance.prepared_by)
    if advance.state != "prepared":
        raise AlreadyDone(f"{advance.code} is {advance.get_state_display()} already. Nothing was paid again.")
    day = on or advance.on
    if day > clock.today():
        raise BadInput(f"{advance.code} is set for {day}, which is still to come.")
    require_in_bank(advance.amount)
    text = f"{advance.code} to {advance.person.label}: {advance.reason}"
    lines = [dr(ADVANCES, advance.amount, party=advance.person.username), cr(BANK, advance.amount)]
    entry = post(by=by, draft=EntryDraft("advance", day, text, lines, advance.code))
    advance.state, advance.entry, advance.on = "given", entry, day
    advance.released_by, advance.released_at = by, clock.now()
    advance.save(update_fields=["state", "entry", "on", "released_by", "released_at"])
    told = f"{advance.code}: {advance.amount} given in advance to {advance.person.label}."
    record(by=by, action="advance.release", subject=advance.code, text=told, data={"entry": entry.number})
    return advance


@transaction.atomic
def cancel_advance(*, by: Person, advance: Advance) -> Advance:
    """Drop an advance that was not paid yet."""
    require(by, "repay.prepare")
    hold_books()
    advance = Advance.objects.get(pk=advance.pk)
    if advance.state != "prepared":
        raise AlreadyDone(f"{advance.code} is {advance.get_state_display()} already and cannot be dropped.")
    advance.state = "cancelled"
    advance.save(update_fields=["state"])
    record(by=by, action="advance.cancel", subject=advance.code, text=f"{advance.code} dropped.")
    return advance


@transaction.atomic
def return_advance(*, by: Person, person: Person, amount: Money, on: date) -> Entry:
    """What is left of an advance comes back into the bank. Refuses more than the person holds, and their own hand."""
    require(by, "repay.prepare")
    if by.pk == person.pk:
        raise TwoPeopleNeeded(
            "Nobody may book the return of their own advance. Ask another person with the same role."
        )
    hold_books()
    held = advance_of(person)
    if not Money.zero < amount <= held:
        raise BadInput(f"{person.label} holds {held} in advance; {amount} cannot come back.")
    refuse_day(on)
    require_owed(ADVANCES, person, amount, on)
    text = f"{person.label} returned {amount} of an advance"
    lines = [dr(BANK, amount), cr(ADVANCES, amount, party=person.username)]
    entry = post(by=by, draft=EntryDraft("advance returned", on, text, lines, person.username))
    record(
        by=by, action="advance.return", subject=person.username, text=f"{text}.", data={"entry": entry.number}
    )
    return entry
