"""Gifts that are not ours yet: a condition, a named person, a giver nobody knows."""

from datetime import date, timedelta

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions import entry_of
from fund.gifts.actions_returns import BY_PLATFORM, fresh, not_gone, within
from fund.gifts.models import Gift, GiftCorrection, GiftSettlement, Supporter
from fund.gifts.rules import CASH, CHECK, GENERAL, GOODS, TRANSFER
from fund.gifts.rules_settle import correction_entry, not_ours_entry, settled_entry
from fund.gifts.rules_terms import (
    CONDITIONAL,
    EARMARKED,
    GIFT,
    IDENTIFIED,
    KEEPS,
    NATURES,
    OUTCOMES,
    RESOLVE_DAYS,
    UNIDENTIFIED,
    WAITING,
    account_of,
)
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import Purpose
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def settle_gift(
    *,
    by: Person,
    gift: Gift,
    on: date,
    words: str,
    supporter: Supporter | None = None,
    purpose: str = GENERAL,
) -> GiftSettlement:
    """The money becomes a gift: its condition is met, its giver agreed in writing to general use, or is known now.

    `words` is what allows it (the giver's writing, the proof of the match). Only a deposit whose giver was not known
    takes a `supporter` and may take a `purpose` they named. A named person's place in the waiting order is not
    touched, before or after. To send it back instead, refund it. Refuses what does not wait, no words.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    _waits(gift)
    within(on, gift.received_on)
    if not words.strip():
        raise BadInput("Write down what allows it: the giver's own words, with their date.")
    if gift.nature == UNIDENTIFIED and supporter is None:
        raise BadInput("Say who gave it.")
    if gift.nature != UNIDENTIFIED and (supporter or purpose != GENERAL):
        raise BadInput("The giver is known; only a deposit from nobody known is given one here.")
    pot = Purpose.objects.filter(code=purpose).first()
    if pot is None or (supporter is not None and supporter.merged_into_id):
        raise BadInput("Choose a purpose and a supporter that are in the books.")
    giver = supporter or gift.supporter
    outcome = KEEPS[gift.nature]
    draft = settled_entry(
        on=on,
        code=gift.code,
        nature=gift.nature,
        amount=gift.amount,
        party=giver.code if giver else "",
        words=OUTCOMES[outcome],
        purpose=pot.code,
        restricted=pot.restricted,
        way=_lies_in(gift),
    )
    entry = post(by=by, draft=draft)
    settled = GiftSettlement.objects.create(
        gift=gift, outcome=outcome, on=on, words=words.strip(), entry=entry, by=by
    )
    if outcome == IDENTIFIED:
        Gift.objects.filter(pk=gift.pk).update(supporter=supporter, purpose=pot)
    text = f"{gift.code}: {gift.amount.dollars} is a gift now. {OUTCOMES[outcome].capitalize()}."
    record(by=by, action="gift.settle", subject=gift.code, text=text, data={"entry": entry.number})
    return settled


def _lies_in(gift: Gift) -> str:
    """The account the money of a gift lies in now."""
    if gift.platform is not None and gift.payout_id is None:
        return gift.platform.account_id
    return chart.UNDEPOSITED if gift.kind in (CASH, CHECK) and gift.deposit_id is None else chart.BANK


def _waits(gift: Gift) -> None:
    if gift.nature not in WAITING:
        raise BadInput(f"{gift.code} is the fund's already; nothing about it waits.")
    if hasattr(gift, "settlement"):
        raise AlreadyDone(
            f"{gift.code} is settled: {gift.settlement.get_outcome_display()}. Nothing was posted."
        )


@transaction.atomic
def hold_back_gift(*, by: Person, gift: Gift, nature: str, terms: str, on: date) -> Gift:
    """A gift that came in as ours, with a platform's file say, turns out to have a condition or to be for a named person.

    It leaves income and waits to be settled. Refuses goods, restricted gifts, what went back, no words.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    if nature not in (CONDITIONAL, EARMARKED) or not terms.strip():
        raise BadInput("Say whether it has a condition or is for a named person, in the giver's words.")
    if gift.nature != GIFT or gift.kind == GOODS or gift.purpose_id != GENERAL or hasattr(gift, "benefit"):
        raise BadInput(f"{gift.code} is not plain money for general use, so it is not held back here.")
    if gift.count_id or gift.supporter is None:
        raise BadInput(f"{gift.code} has no giver who could have said so.")
    not_gone(gift)
    within(on, gift.received_on)
    draft = not_ours_entry(
        on=on,
        code=gift.code,
        nature=nature,
        amount=gift.amount,
        party=gift.supporter.code,
        words=NATURES[nature],
    )
    entry = post(by=by, draft=draft)
    Gift.objects.filter(pk=gift.pk).update(nature=nature, terms=terms.strip())
    text = f"{gift.code}: {gift.amount.dollars} is held back, {NATURES[nature]}."
    record(by=by, action="gift.hold_back", subject=gift.code, text=text, data={"entry": entry.number})
    return fresh(gift)


@transaction.atomic
def correct_amount(*, by: Person, gift: Gift, amount: Money, reason: str) -> GiftCorrection:
    """A gift by hand was written down with the wrong amount: book the difference, with the gift's own date.

    If its month is closed the correction is posted in the first open month as a later change. Refuses what came with
    a file or a count, what is on its way (banked, paid out), what went back, goods, no reason, no change.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    if amount.minor <= 0 or amount == gift.amount or not reason.strip():
        raise BadInput("Write the right amount, above zero, and how it came to the wrong one.")
    by_file = gift.payout_id or (gift.platform_id and gift.entry and gift.entry.source != gift.code)
    if by_file or gift.count_id or gift.deposit_id or gift.kind not in (CASH, CHECK, TRANSFER, *BY_PLATFORM):
        raise BadInput(
            f"{gift.code} is told by a file, a count or a deposit, so it is not corrected by hand."
        )
    if hasattr(gift, "benefit") or hasattr(gift, "settlement"):
        raise BadInput(f"{gift.code} is settled or has a benefit. Refund it and write it down anew.")
    not_gone(gift)
    first = entry_of(gift)
    draft = correction_entry(
        on=gift.received_on,
        code=gift.code,
        entry=first.number,
        more=amount - gift.amount,
        account=account_of(gift.nature, gift.kind, gift.purpose.restricted),
        way=_lies_in(gift),
        purpose=gift.purpose_id,
        party=gift.supporter.code if gift.supporter else "",
    )
    entry = post(by=by, draft=draft)
    made = GiftCorrection.objects.create(
        gift=gift, before=gift.amount, after=amount, reason=reason.strip(), entry=entry, by=by
    )
    Gift.objects.filter(pk=gift.pk).update(amount=amount)
    text = f"{gift.code}: {made.before.dollars} was {amount.dollars}. {reason.strip()}"
    record(by=by, action="gift.correct", subject=gift.code, text=text, data={"entry": entry.number})
    return made


def resolve_by(gift: Gift) -> date:
    """The day by which a deposit from nobody known is to be resolved."""
    return gift.received_on + timedelta(days=RESOLVE_DAYS)
