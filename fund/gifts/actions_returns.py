"""Gifts that go back: a check the bank returned, a refund. Three different things with a chargeback, never mixed."""

from datetime import date, timedelta

from django.db import transaction
from django.db.models import Sum

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.queries import open_by_purpose
from fund.gifts.benefits_back import end_benefits, still_owed
from fund.gifts.models import Gift, GiftReturn, GiftSettlement
from fund.gifts.rules import CASH, CHECK, GOODS, REFUND, RETURNED_CHECK, TRANSFER, VIA_CREW
from fund.gifts.rules_returns import Gone, refund_entry, returned_check_entry
from fund.gifts.rules_terms import CONDITIONAL, EARMARKED, SENT_BACK, SHARE, UNIDENTIFIED, WAITING
from fund.gifts.rules_watch import EARLY_DAYS, EARLY_REFUND
from fund.gifts.watch import flag, let_go_returned
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.queries import balances
from fund.ledger.rules import unspent
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotEnoughMoney, NotReady
from fund.rulebook.queries import rule
from fund.trail.actions import record

BY_PLATFORM = ("platform", "card")


@transaction.atomic
def return_check(
    *, by: Person, gift: Gift, on: date, bank_fee: Money = Money.zero, reason: str = ""
) -> GiftReturn:
    """The bank sent a check back: undo its gift in the month it came back, book the bank's charge.

    A replacement check is a new gift. Refuses a gift that is not a check, one that was never banked, one returned
    or refunded before, a day before it was banked or after today, a negative charge.
    """
    require(by, "gift.bank")
    hold_books()
    gift = fresh(gift)
    if gift.kind != CHECK:
        raise BadInput(f"{gift.code} is not a check; only a check can come back from the bank.")
    if gift.deposit is None:
        raise NotReady(f"{gift.code} has not been banked yet, so the bank cannot have returned it.")
    not_gone(gift)
    within(on, gift.deposit.on)
    if bank_fee.minor < 0:
        raise BadInput("The bank's charge is zero or more.")
    draft = returned_check_entry(
        on=on, gone=gone_of(gift), bank_fee=bank_fee, check=gift.check_number, account=undone_on(gift)
    )
    entry = post(by=by, draft=draft)
    back = GiftReturn.objects.create(
        kind=RETURNED_CHECK,
        gift=gift,
        on=on,
        amount=gift.amount,
        fee=bank_fee,
        purpose_id=gift.purpose_id,
        entry=entry,
        reason=reason.strip(),
    )
    end_benefits([gift], on, entry)
    _no_longer_waits(by, gift, on, reason.strip() or "The bank returned the check.", entry)
    text = f"{gift.code}: check {gift.check_number} over {gift.amount.dollars} came back from the bank."
    record(by=by, action="gift.returned_check", subject=gift.code, text=text, data={"entry": entry.number})
    return back


@transaction.atomic
def record_refund(*, by: Person, gift: Gift, on: date, reason: str, platform_ref: str = "") -> GiftReturn:
    """Give a gift back, whole and only by the way it came: through its platform, or from the bank.

    There is no other way out: a refund by another route, or above what was received, is how a stolen card is
    turned into money. The platform's refund id is needed so that its payout file finds the refund booked.
    Refuses cash and goods, a check not yet banked, a check or transfer that has not cleared (`clearing_days`), a gift
    returned before, an empty reason, and a restricted gift of which too little is left: two people put its pot right
    first. A refund soon after the gift is booked and flagged for a second look.
    """
    require(by, "gift.record")
    hold_books()
    gift = fresh(gift)
    _refundable(gift, reason, platform_ref)
    not_gone(gift)
    within(on, gift.received_on)
    cleared(gift, on)
    _not_spent(gift)
    way = gift.platform.account_id if gift.platform else chart.BANK
    entry = post(by=by, draft=refund_entry(on=on, gone=gone_of(gift), way=way, account=undone_on(gift)))
    back = GiftReturn.objects.create(
        kind=REFUND,
        gift=gift,
        on=on,
        amount=gift.amount,
        fee=Money.zero,
        purpose_id=gift.purpose_id,
        platform=gift.platform,
        platform_ref=platform_ref.strip() if gift.platform else "",
        entry=entry,
        reason=reason.strip(),
    )
    end_benefits([gift], on, entry)
    _no_longer_waits(by, gift, on, reason.strip(), entry)
    let_go_returned()
    if on - gift.received_on < timedelta(days=EARLY_DAYS) and gift.nature not in WAITING:
        text = f"{gift.code}: {gift.amount.dollars} refunded {(on - gift.received_on).days} days after it was given."
        flag(by=by, kind=EARLY_REFUND, text=text, gifts=[gift])
    text = f"{gift.code}: {gift.amount.dollars} refunded. {reason.strip()}"
    record(by=by, action="gift.refund", subject=gift.code, text=text, data={"entry": entry.number})
    return back


def _refundable(gift: Gift, reason: str, platform_ref: str) -> None:
    if gift.kind in (CASH, GOODS):
        raise BadInput("Cash and goods are not refunded here; give a written receipt and ask the owner.")
    if gift.kind == VIA_CREW and gift.hand_over is None:
        raise NotReady(
            f"{gift.code} is still on a crew member's own account. It goes to the fund's bank first."
        )
    if gift.kind not in (CHECK, TRANSFER, VIA_CREW, *BY_PLATFORM):
        raise BadInput(f"{gift.code} never came in as money, so none goes back.")
    if gift.kind == CHECK and gift.deposit is None:
        raise NotReady(f"{gift.code} has not been banked yet. Hand the check back or bank it first.")
    if not reason.strip():
        raise BadInput("Say in a few words why the gift goes back.")
    if gift.platform and not platform_ref.strip():
        raise BadInput(f"Write the id that {gift.platform.name} gave the refund.")
    if (
        gift.platform
        and GiftReturn.objects.filter(platform=gift.platform, platform_ref=platform_ref).exists()
    ):
        raise AlreadyDone(f"{gift.platform.name} {platform_ref} is already booked. Nothing was posted.")


def _not_spent(gift: Gift) -> None:
    """Refuse to take a restricted gift out of a pot that was spent: the rest would come out of general money unasked."""
    if not gift.purpose.restricted:
        return
    pot = gift.purpose
    left = unspent(pot.code, balances())
    promised = open_by_purpose().get(pot.code, Money.zero)
    if gift.amount > left - promised:
        of_it = f", and {promised} of it is promised" if promised else ""
        raise NotEnoughMoney(
            f"{left} is left for {pot.name}{of_it}: {gift.code} over {gift.amount} was spent, whole or in part. Ask under"
            " Changes of restricted money that general money repays the pot; once a second person has agreed, refund it here."
        )


def cleared(gift: Gift, on: date) -> None:
    """Refuse to send back what may still bounce: then the money would be gone twice."""
    start = gift.deposit.on if gift.deposit else gift.received_on if gift.kind == TRANSFER else None
    if start is None:
        return
    free = start + timedelta(days=rule("clearing_days", start))
    if on < free:
        raise NotReady(
            f"{gift.code} has not cleared yet: until {free} the bank may still take it back. Refund it on that day or later."
        )


def fresh(gift: Gift) -> Gift:
    """The gift read again under the books lock: two people may have the same page open."""
    links = ("supporter", "deposit", "platform", "hand_over", "settlement", "purpose", "entry", "benefit")
    return Gift.objects.select_related(*links).get(pk=gift.pk)


def gone_of(gift: Gift) -> Gone:
    party = gift.supporter.code if gift.supporter else ""
    return Gone(gift.code, gift.amount, gift.purpose_id, party, still_owed(gift))


def undone_on(gift: Gift) -> str:
    """The account a gift is undone on: the liability while it waits, its own account of returned gifts afterwards."""
    if gift.nature in WAITING and not hasattr(gift, "settlement"):
        return {CONDITIONAL: chart.REFUNDABLE, EARMARKED: chart.REFUNDABLE, UNIDENTIFIED: chart.UNIDENTIFIED}[
            gift.nature
        ]
    return chart.HOUSEHOLD_SHARE if gift.nature == SHARE else chart.RETURNED


def _no_longer_waits(by: Person, gift: Gift, on: date, words: str, entry: Entry) -> None:
    if gift.nature in WAITING and not hasattr(gift, "settlement"):
        GiftSettlement.objects.create(
            gift=gift, outcome=SENT_BACK, on=on, words=words[:300], entry=entry, by=by
        )


def not_gone(gift: Gift) -> None:
    gone = gift.returns.aggregate(sum=Sum("amount"))["sum"]
    if gone:
        raise AlreadyDone(f"{gone} of {gift.code} has gone back before. Nothing was posted.")


def within(on: date, earliest: date) -> None:
    if on > clock.today():
        raise BadInput(f"{on} is after today.")
    if on < earliest:
        raise BadInput(f"{on} is before the gift came in on {earliest}.")
