"""Chargebacks: opened by a cardholder's bank, in dispute until decided, won or lost. And money talked out of the fund."""

from datetime import date

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_returns import fresh, gone_of, not_gone, within
from fund.gifts.benefits_back import end_benefits, owe_again, owed_before
from fund.gifts.models import Gift, GiftException, GiftReturn, Platform
from fund.gifts.rules import CHARGEBACK, DISPUTE_WON, REFUND
from fund.gifts.rules_returns import (
    LOST,
    OPEN,
    WON,
    chargeback_entry,
    dispute_won_entry,
    fraud_entry,
    refunds_entry,
)
from fund.gifts.rules_watch import ELSEWHERE, TESTING
from fund.gifts.watch import flag, let_go_returned
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def open_dispute(
    *, by: Person, gift: Gift, on: date, platform_ref: str, fee: Money = Money.zero, reason: str = ""
) -> GiftReturn:
    """A cardholder's bank took a gift back: it is in dispute until decided, and the platform's fee is a bank charge.

    Refuses a gift that did not come through a platform, one that has gone back, an id booked before, a fee below zero.
    """
    require(by, "gift.record")
    hold_books()
    gift, platform = _disputable(gift)
    not_gone(gift)
    within(on, gift.received_on)
    if fee.minor < 0:
        raise BadInput("The fee of a dispute is zero or more.")
    _new_ref(platform, platform_ref)
    draft = chargeback_entry(on=on, gone=gone_of(gift), way=platform.account_id, fee=fee)
    entry = post(by=by, draft=draft)
    back = GiftReturn.objects.create(
        kind=CHARGEBACK,
        outcome=OPEN,
        gift=gift,
        on=on,
        amount=gift.amount,
        fee=fee,
        purpose_id=gift.purpose_id,
        platform=platform,
        platform_ref=platform_ref.strip(),
        entry=entry,
        reason=reason.strip(),
    )
    end_benefits([gift], on, entry)
    let_go_returned()
    text = f"{gift.code}: {gift.amount.dollars} charged back, fee {fee.dollars}. In dispute."
    record(by=by, action="gift.dispute", subject=gift.code, text=text, data={"entry": entry.number})
    return back


@transaction.atomic
def decide_dispute(
    *, by: Person, dispute: GiftReturn, on: date, won: bool, words: str, platform_ref: str = ""
) -> GiftReturn:
    """Write down how a dispute ended. Won: the money is back in clearing (the fee usually stays). Lost: it stays gone.

    Refuses a dispute that is decided, an end before its beginning, an empty reason, a win without the platform's id.
    """
    require(by, "gift.record")
    hold_books()
    dispute = GiftReturn.objects.select_related("gift").get(pk=dispute.pk)
    if dispute.outcome != OPEN or dispute.gift is None:
        raise AlreadyDone("This is not an open dispute of a gift. Nothing was posted.")
    if not words.strip():
        raise BadInput("Say in a few words how it was decided.")
    gift, platform = _disputable(dispute.gift)
    within(on, dispute.on)
    entry: Entry | None = None
    if won:
        _new_ref(platform, platform_ref)
        gone = gone_of(gift)._replace(amount=dispute.amount, benefit=owed_before(gift))
        entry = post(by=by, draft=dispute_won_entry(on=on, gone=gone, way=platform.account_id))
        GiftReturn.objects.create(
            kind=DISPUTE_WON,
            gift=gift,
            on=on,
            amount=-dispute.amount,
            fee=Money.zero,
            purpose_id=gift.purpose_id,
            platform=platform,
            platform_ref=platform_ref.strip(),
            entry=entry,
            reason=words.strip(),
        )
        owe_again(gift)
    dispute.outcome, dispute.decided_on, dispute.decided_words = WON if won else LOST, on, words.strip()
    dispute.save(update_fields=["outcome", "decided_on", "decided_words"])
    text = f"{gift.code}: dispute {'won' if won else 'lost'}. {words.strip()}"
    data = {"entry": entry.number if entry else None}
    record(by=by, action="gift.dispute_end", subject=gift.code, text=text, data=data)
    return dispute


def _disputable(gift: Gift) -> tuple[Gift, Platform]:
    gift = fresh(gift)
    if gift.platform is None:
        raise BadInput(f"{gift.code} did not come through a platform, so no card's bank can take it back.")
    return gift, gift.platform


def _new_ref(platform: Platform, ref: str) -> None:
    if not ref.strip():
        raise BadInput(f"Write the id that {platform.name} gave it, so that its payout file finds it booked.")
    if GiftReturn.objects.filter(platform=platform, platform_ref=ref.strip()).exists():
        raise AlreadyDone(f"{platform.name} {ref.strip()} is already booked. Nothing was posted.")


@transaction.atomic
def record_fraud_loss(*, by: Person, gift: Gift, amount: Money, on: date, words: str) -> Entry:
    """Somebody was sent money by another way than the gift came, on a story: it is lost. The gift itself still stands.

    Not a refund, and no page offers to send one. Refuses nothing lost, no words, a day out of order.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    within(on, gift.received_on)
    if amount.minor <= 0 or not words.strip():
        raise BadInput("Write what was sent, and in a few words how it came to it.")
    text = f"{amount.dollars} sent elsewhere on the story of gift {gift.code}: {words.strip()}"
    entry = post(by=by, draft=fraud_entry(on=on, code=gift.code, amount=amount, words=text[:200]))
    flag(by=by, kind=ELSEWHERE, text=text, gifts=[gift])
    record(by=by, action="gift.fraud_loss", subject=gift.code, text=text, data={"entry": entry.number})
    return entry


@transaction.atomic
def undo_card_testing(*, by: Person, found: GiftException, on: date) -> list[GiftReturn]:
    """Somebody tried out stolen cards on the fund: give every gift of the burst back at once, the way it came.

    Fees the platform does not return stay a cost. The gifts no longer count as gifts of supporters. The platform's
    ids of the refunds come with its next file, which finds them by their gifts. Refuses an exception of another
    kind or one resolved before, and gifts that have gone back.
    """
    require(by, "gift.record")
    hold_books()
    found = GiftException.objects.get(pk=found.pk)
    if found.kind != TESTING or found.resolved_on:
        raise AlreadyDone(f"{found.code} is not an open case of card testing. Nothing was posted.")
    gifts = list(found.gifts.select_related("supporter", "platform", "benefit").order_by("pk"))
    platforms = {gift.platform for gift in gifts}
    platform = platforms.pop() if len(platforms) == 1 else None
    if platform is None:
        raise BadInput("These gifts came through more than one platform.")
    for gift in gifts:
        not_gone(gift)
        within(on, gift.received_on)
    draft = refunds_entry(
        on=on,
        gone=[gone_of(gift) for gift in gifts],
        way=platform.account_id,
        source=found.code,
        text=f"{len(gifts)} gifts of card testing refunded",
    )
    entry = post(by=by, draft=draft)
    reason = f"Card testing ({found.code})"
    backs = GiftReturn.objects.bulk_create(
        GiftReturn(
            kind=REFUND,
            gift=gift,
            on=on,
            amount=gift.amount,
            fee=Money.zero,
            purpose_id=gift.purpose_id,
            platform=platform,
            entry=entry,
            reason=reason,
        )
        for gift in gifts
    )
    end_benefits(gifts, on, entry)
    let_go_returned()
    Gift.objects.filter(pk__in=[gift.pk for gift in gifts]).update(testing=True)
    found.resolved_on, found.resolved_by, found.resolution = on, by, "Refunded all of them."
    found.save(update_fields=["resolved_on", "resolved_by", "resolution"])
    text = f"{found.code}: {len(gifts)} gifts of card testing refunded."
    record(by=by, action="gift.testing", subject=found.code, text=text, data={"entry": entry.number})
    return backs
