"""Restricted money that does not go where its giver said: only with the giver's writing, and never by one person alone."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.gifts.actions_returns import fresh, not_gone, within
from fund.gifts.models import Gift, GiftReturn, RestrictionChange
from fund.gifts.rules import CASH, CHECK, REFUND
from fund.gifts.rules_restrictions import ASKED, CHANGES, DONE, REFUSED, REPAY, RETURN, restriction_entry
from fund.gifts.watch import let_go_returned
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry, Purpose
from fund.ledger.queries import balances
from fund.ledger.rules import unspent
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotEnoughMoney, NotReady
from fund.trail.actions import record


@transaction.atomic
def ask_restriction_change(
    *,
    by: Person,
    kind: str,
    purpose: Purpose,
    words: str,
    on: date,
    amount: Money | None = None,
    gift: Gift | None = None,
) -> RestrictionChange:
    """Ask for restricted money to leave its pot, or for general money to repay one. Nothing is booked yet.

    A release needs the giver's written words; a return names the gift that goes back whole; a repayment says what was
    spent wrongly. A second person decides (:func:`decide_restriction_change`). Refuses more than the pot holds.
    """
    require(by, "restriction.ask")
    hold_books()
    if kind not in CHANGES or not purpose.restricted:
        raise BadInput("Choose a restricted purpose and what is to become of its money.")
    if not words.strip():
        raise BadInput(
            "Copy the giver's own words, with their date; for a repayment say what was spent wrongly."
        )
    if kind == RETURN:
        if gift is None or gift.purpose_id != purpose.code:
            raise BadInput(f"Name the gift for {purpose.name} that goes back; it goes back whole.")
        not_gone(gift)
        if gift.kind in (CASH, CHECK) and gift.deposit_id is None:
            raise NotReady(f"{gift.code} has not been banked yet. Bank it first.")
        amount = gift.amount
    if amount is None or amount.minor <= 0:
        raise BadInput("Write an amount above zero.")
    within(on, on)
    _enough(kind, purpose, amount)
    change = RestrictionChange.objects.create(
        code=next_code(RestrictionChange, "code", "RC-"),
        kind=kind,
        purpose=purpose,
        amount=amount,
        gift=gift if kind == RETURN else None,
        words=words.strip(),
        on=on,
        asked_by=by,
        state=ASKED,
    )
    text = f"{change.code}: {amount.dollars} for {purpose.name}, {CHANGES[kind]}; waits for a second person."
    record(by=by, action="restriction.ask", subject=change.code, text=text)
    return change


@transaction.atomic
def decide_restriction_change(*, by: Person, change: RestrictionChange, agreed: bool) -> RestrictionChange:
    """The second person says yes (it is booked) or no (it is kept as refused). Never the one who asked."""
    require(by, "restriction.decide")
    hold_books()
    change = RestrictionChange.objects.select_related("purpose", "gift", "asked_by").get(pk=change.pk)
    two_people(change.asked_by, by, "change what restricted money is for")
    if change.state != ASKED:
        raise AlreadyDone(f"{change.code} was decided on {change.decided_on}. Nothing was posted.")
    if agreed:
        _enough(change.kind, change.purpose, change.amount)
        change.entry = _book(by, change)
    change.state = DONE if agreed else REFUSED
    change.decided_by, change.decided_on = by, clock.today()
    change.save(update_fields=["state", "decided_by", "decided_on", "entry"])
    text = f"{change.code}: {'agreed' if agreed else 'refused'}. {CHANGES[change.kind].capitalize()}."
    data = {"entry": change.entry.number if change.entry else None}
    record(by=by, action="restriction.decide", subject=change.code, text=text, data=data)
    return change


def _enough(kind: str, purpose: Purpose, amount: Money) -> None:
    pots = balances()
    left = unspent(purpose.code, pots)
    if kind != REPAY and amount > left:
        raise NotEnoughMoney(f"{left} is left for {purpose.name}, so {amount} cannot leave it.")
    general = pots.get((chart.BANK, chart.GENERAL), Money.zero)
    if kind == REPAY and amount > general:
        raise NotEnoughMoney(f"General money in the bank is {general}, so {amount} cannot be repaid yet.")


def _book(by: Person, change: RestrictionChange) -> Entry:
    gift = fresh(change.gift) if change.gift else None
    if gift:
        not_gone(gift)
    way = gift.platform.account_id if gift and gift.platform else chart.BANK
    party = gift.supporter.code if gift and gift.supporter else ""
    draft = restriction_entry(
        kind=change.kind,
        on=change.on,
        code=change.code,
        purpose=change.purpose_id,
        amount=change.amount,
        words=change.words,
        account=way,
        party=party,
    )
    entry = post(by=by, draft=draft)
    if gift:
        GiftReturn.objects.create(
            kind=REFUND,
            gift=gift,
            on=change.on,
            amount=gift.amount,
            fee=Money.zero,
            purpose_id=gift.purpose_id,
            platform=gift.platform,
            entry=entry,
            reason=f"{change.code}: {change.words}"[:300],
        )
        let_go_returned()
    return entry
