"""Checks whose day has not come, and gifts on somebody's own account on their way to the bank."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions import record_gift
from fund.gifts.actions_returns import within
from fund.gifts.models import Gift, GiftException, HandOver, HeldCheck, Supporter
from fund.gifts.rules import CHECK, GENERAL, VIA_CREW
from fund.gifts.rules_settle import hand_over_entry
from fund.gifts.rules_watch import OWN_ACCOUNT
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import Purpose
from fund.money import Money, total
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def hold_check(
    *,
    by: Person,
    supporter: Supporter,
    amount: Money,
    check_number: str,
    dated_on: date,
    arrived_on: date,
    purpose: str = GENERAL,
    note: str = "",
) -> HeldCheck:
    """A check with a date to come: kept on a list and not in the books until then.

    Refuses a date that has come (record the gift), an arrival after today, a check held or booked before.
    """
    require(by, "gift.record")
    hold_books()
    number = check_number.strip()
    if amount.minor <= 0 or not number:
        raise BadInput("Write the amount and the number of the check.")
    if dated_on <= clock.today():
        raise BadInput(f"The check's date, {dated_on}, has come: write it down as a gift.")
    within(arrived_on, arrived_on)
    if not Purpose.objects.filter(code=purpose).exists():
        raise BadInput(
            f"There is no purpose “{purpose}” in the books. Add it first, in the giver's own words."
        )
    twin = HeldCheck.objects.filter(
        supporter=supporter, check_number=number, amount=amount, handed_back_on=None
    ).first()
    if twin:
        raise AlreadyDone(f"Check {number} over {amount} is held already as {twin.code}.")
    code = next_code(HeldCheck, "code", "HC-")
    held = HeldCheck.objects.create(
        code=code,
        supporter=supporter,
        amount=amount,
        check_number=number,
        dated_on=dated_on,
        arrived_on=arrived_on,
        purpose_id=purpose,
        note=note.strip(),
        by=by,
    )
    text = f"{code}: check over {amount.dollars} of {supporter.code} is held until {dated_on}."
    record(by=by, action="check.hold", subject=code, text=text)
    return held


@transaction.atomic
def book_held_check(*, by: Person, held: HeldCheck) -> Gift:
    """The date of a held check has come: it is a gift of that date now. Refuses it before, and twice."""
    require(by, "gift.record")
    hold_books()
    held = _open(held)
    if held.dated_on > clock.today():
        raise NotReady(f"{held.code} is dated {held.dated_on}. It is no gift before that day.")
    gift = record_gift(
        by=by,
        kind=CHECK,
        received_on=held.dated_on,
        amount=held.amount,
        supporter=held.supporter,
        purpose=held.purpose_id,
        check_number=held.check_number,
        note=held.note,
    )
    held.gift = gift
    held.save(update_fields=["gift"])
    return gift


@transaction.atomic
def hand_back_check(*, by: Person, held: HeldCheck, on: date, why: str) -> HeldCheck:
    """A held check goes back to its giver, who asked for it or sends another. Nothing was booked, so nothing is."""
    require(by, "gift.record")
    hold_books()
    held = _open(held)
    within(on, held.arrived_on)
    if not why.strip():
        raise BadInput("Say in a few words why the check goes back.")
    held.handed_back_on, held.handed_back_why = on, why.strip()
    held.save(update_fields=["handed_back_on", "handed_back_why"])
    record(by=by, action="check.hand_back", subject=held.code, text=f"{held.code} handed back. {why.strip()}")
    return held


def _open(held: HeldCheck) -> HeldCheck:
    held = HeldCheck.objects.select_related("supporter", "gift").get(pk=held.pk)
    if held.gift or held.handed_back_on:
        raise AlreadyDone(f"{held.code} is not held any more. Nothing was posted.")
    return held


@transaction.atomic
def hand_over(*, by: Person, gifts: Sequence[Gift], on: date) -> HandOver:
    """A crew member brought gifts from their own account to the fund's bank account: all of each, one transfer.

    Refuses gifts of different people, gifts that are not on anybody's account or were brought before.
    """
    require(by, "gift.bank")
    hold_books()
    chosen = list(Gift.objects.filter(pk__in=[gift.pk for gift in gifts]).select_related("held_by"))
    holders = {gift.held_by for gift in chosen}
    holder = holders.pop() if len(holders) == 1 else None
    if not chosen or holder is None:
        raise BadInput("Choose the gifts that one person brings to the bank.")
    for gift in chosen:
        if gift.kind != VIA_CREW or gift.hand_over_id:
            raise AlreadyDone(f"{gift.code} is not on {holder.label}'s account. Nothing was posted.")
        within(on, gift.received_on)
    code = next_code(HandOver, "code", "T-")
    amount = total(gift.amount for gift in chosen)
    pots: dict[str, Money] = {}
    for gift in chosen:
        pots[gift.purpose_id] = pots.get(gift.purpose_id, Money.zero) + gift.amount
    entry = post(by=by, draft=hand_over_entry(on=on, code=code, by_purpose=pots, holder=holder.username))
    made = HandOver.objects.create(code=code, person=holder, on=on, total=amount, entry=entry)
    pks = [gift.pk for gift in chosen]
    Gift.objects.filter(pk__in=pks).update(hand_over=made)
    brought = GiftException.objects.filter(kind=OWN_ACCOUNT, gifts__in=pks, resolved_on=None)
    brought.update(resolved_on=on, resolved_by=by, resolution=f"Brought to the bank with {code}.")
    text = f"{holder.label} brought {amount.dollars} in {len(pks)} gifts to the bank."
    record(by=by, action="gift.hand_over", subject=code, text=text, data={"entry": entry.number})
    return made
