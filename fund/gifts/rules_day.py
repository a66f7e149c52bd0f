"""What one platform did on one day, and its transfers, as entries. Pure: no database, no clock.

Gross goes to clearing within its purpose; fees and exchange differences leave clearing within general, so that a
restricted gift moves whole.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from fund.gifts.rules import DISPUTE_SIDE, PLATFORM, PLATFORM_SIDE, PROCESSING_SIDE, gift_account
from fund.ledger import chart
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money


class PlatformGift(NamedTuple):
    """One gift of a charge day, ready to book. Fees are zero or more.

    ``exchange`` is what the gift, valued on its day, lost when the platform turned it into our money (negative: won).
    ``benefit`` is the value of what is owed in return. ``account`` is set when the money is not ours yet.
    """

    amount: Money
    platform_fee: Money
    processing_fee: Money
    purpose: str
    restricted: bool
    party: str
    text: str
    exchange: Money = Money.zero
    benefit: Money = Money.zero
    account: str = ""


class PlatformReturn(NamedTuple):
    """Money a platform sent back to a supporter, with what it charged for doing so.

    ``again`` turns it round: a dispute was won, or a refund did not arrive, and the money is here again.
    """

    amount: Money
    fee: Money
    chargeback: bool
    purpose: str
    party: str
    text: str
    exchange: Money = Money.zero
    again: bool = False


class PlatformCharge(NamedTuple):
    """A fee that belongs to no gift; negative when the platform gave a fee back."""

    amount: Money
    side: str
    text: str


def day_entry(
    on: date,
    *,
    clearing: str,
    text: str,
    source: str,
    gifts: Sequence[PlatformGift] = (),
    returns: Sequence[PlatformReturn] = (),
    charges: Sequence[PlatformCharge] = (),
) -> EntryDraft:
    """All that happened on one platform on one charge day: one line for each gift and each return."""
    lines: list[LineDraft] = []
    for purpose, amount in _by_purpose((gift.purpose, gift.amount) for gift in gifts):
        lines.append(dr(clearing, amount, purpose=purpose, text="Gifts received, gross"))
    for gift in gifts:
        account = gift.account or gift_account(PLATFORM, gift.restricted)
        own = gift.amount - gift.benefit
        lines.append(cr(account, own, purpose=gift.purpose, party=gift.party, text=gift.text))
        if gift.benefit:
            lines.append(
                cr(chart.BENEFITS, gift.benefit, party=gift.party, text=f"{gift.text}: benefit owed")
            )
    for back in returns:
        side = cr if back.again else dr
        lines.append(
            side(chart.RETURNED, back.amount, purpose=back.purpose, party=back.party, text=back.text)
        )
    signed = ((back.purpose, -back.amount if back.again else back.amount) for back in returns)
    for purpose, amount in _by_purpose(signed):
        words = "Returned to supporters" if amount.minor > 0 else "Came back again"
        lines.append(LineDraft(clearing, -amount, purpose=purpose, text=words))
    lines.extend(_fee_lines(clearing, gifts, returns, charges))
    lines.extend(exchange_lines(clearing, _exchange(gifts, returns)))
    return EntryDraft(kind="payout gifts", document_date=on, text=text, lines=lines, source=source)


def _exchange(gifts: Sequence[PlatformGift], returns: Sequence[PlatformReturn]) -> Money:
    return Money(sum(gift.exchange.minor for gift in gifts) + sum(back.exchange.minor for back in returns))


def exchange_lines(clearing: str, lost: Money) -> list[LineDraft]:
    """The exchange difference: ``lost`` to the account of exchange, or won when negative. None when there is none."""
    text = "Exchange difference"
    if lost.minor > 0:
        return [dr(chart.EXCHANGE, lost, text=text), cr(clearing, lost, text=text)]
    return [dr(clearing, -lost, text=text), cr(chart.EXCHANGE, -lost, text=text)] if lost.minor else []


def _fee_lines(
    clearing: str,
    gifts: Sequence[PlatformGift],
    returns: Sequence[PlatformReturn],
    charges: Sequence[PlatformCharge],
) -> list[LineDraft]:
    fees = dict.fromkeys((PLATFORM_SIDE, PROCESSING_SIDE, DISPUTE_SIDE), 0)
    fees[PLATFORM_SIDE] += sum(gift.platform_fee.minor for gift in gifts)
    fees[PROCESSING_SIDE] += sum(gift.processing_fee.minor for gift in gifts)
    for back in returns:
        fees[DISPUTE_SIDE if back.chargeback else PROCESSING_SIDE] += back.fee.minor
    for charge in charges:
        fees[charge.side] += charge.amount.minor
    kinds = (
        (chart.FEES, fees[PLATFORM_SIDE], "Platform fee"),
        (chart.FEES, fees[PROCESSING_SIDE], "Processing fee"),
        (chart.BANK_FEES, fees[DISPUTE_SIDE], "Dispute fee"),
    )
    # dr() of a negative amount would hide a fee given back on the wrong side, so the sides are chosen here.
    lines = [
        dr(account, Money(fee), text=text) if fee > 0 else cr(account, Money(-fee), text=f"{text} given back")
        for account, fee, text in kinds
        if fee
    ]
    kept = sum(fees.values())
    if kept > 0:
        lines.append(cr(clearing, Money(kept), text="Fees kept by the platform"))
    elif kept < 0:
        lines.append(dr(clearing, Money(-kept), text="Fees given back by the platform"))
    return lines


def payout_entry(
    on: date, *, clearing: str, text: str, source: str, net_by_purpose: Mapping[str, Money]
) -> EntryDraft | None:
    """The transfer itself: clearing becomes bank, within each purpose. None when nothing moved.

    A purpose can be negative: a refund of an older restricted gift is paid from what came in for others.
    """
    lines: list[LineDraft] = []
    for purpose, net in net_by_purpose.items():
        if net.minor > 0:
            lines += [dr(chart.BANK, net, purpose=purpose), cr(clearing, net, purpose=purpose)]
        elif net.minor < 0:
            lines += [dr(clearing, -net, purpose=purpose), cr(chart.BANK, -net, purpose=purpose)]
    if not lines:
        return None
    return EntryDraft(kind="payout", document_date=on, text=text, lines=lines, source=source)


def _by_purpose(pairs: Iterable[tuple[str, Money]]) -> list[tuple[str, Money]]:
    totals: dict[str, int] = {}
    for purpose, amount in pairs:
        totals[purpose] = totals.get(purpose, 0) + amount.minor
    return [(purpose, Money(minor)) for purpose, minor in totals.items() if minor]
