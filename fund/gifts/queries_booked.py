"""What the books already hold of a platform's rows."""

from bisect import bisect_right
from collections.abc import Collection, Sequence
from datetime import date
from typing import NamedTuple

from django.db.models import Sum

from fund.bulk import among
from fund.gifts.models import ExchangeRate, Gift, GiftReturn, Platform, PlatformFee
from fund.gifts.rules import CHARGEBACK, DISPUTE_SIDE, REFUND
from fund.gifts.rules_layout import BACK_AGAIN, DISPUTE_FEE, DISPUTE_FEE_BACK, FEE, FEE_BACK, GIFT
from fund.gifts.rules_rows import FileRow
from fund.money import Money


class BookedRow(NamedTuple):
    """A platform's row that the books already hold, with amounts as a file writes them (never negative)."""

    kind: str
    pk: int
    amount: Money
    fees: Money
    payout: int | None
    purpose: str
    party: str
    exchange: Money = Money.zero
    foreign: Money = Money.zero

    @property
    def moved(self) -> Money:
        """What the platform's balance moved by, fees apart."""
        comes_in = self.kind == GIFT or self.kind in BACK_AGAIN
        return self.amount - self.exchange if comes_in else self.amount + self.exchange


class Rates:
    """Rates of the day, each valid until the next one that was written down."""

    def __init__(self, rows: Sequence[tuple[str, date, int]]) -> None:
        self.days: dict[str, list[tuple[date, int]]] = {}
        for currency, on, rate in rows:
            self.days.setdefault(currency, []).append((on, rate))

    def get(self, currency: str, on: date) -> int:
        """The rate in millionths, 0 when none is known."""
        known = self.days.get(currency, [])
        at = bisect_right(known, (on, 10**15))
        return known[at - 1][1] if at else 0


def rates_of(currencies: Collection[str]) -> Rates:
    rows = ExchangeRate.objects.filter(currency__in=currencies).order_by("on") if currencies else []
    return Rates([(row.currency, row.on, row.rate_millionths) for row in rows])


def returned_so_far(gift_pks: list[int]) -> dict[str, int]:
    """What has gone back of each gift, in minor units, by key as text."""
    rows = (
        GiftReturn.objects.filter(gift__in=gift_pks)
        .order_by()
        .values_list("gift_id")
        .annotate(sum=Sum("amount"))
    )
    return {str(pk): amount.minor for pk, amount in rows}


def booked_rows(platform: Platform, refs: Sequence[str]) -> dict[str, BookedRow]:
    """What the books hold of these row ids of a platform."""
    found: dict[str, BookedRow] = {}
    here = {"platform": platform, "platform_ref__in": among(refs)}
    gifts = Gift.objects.filter(**here).order_by()
    for ref, pk, amount, share, cost, payout, purpose, party, exchange, foreign in gifts.values_list(
        "platform_ref",
        "pk",
        "amount",
        "platform_fee",
        "processing_fee",
        "payout_id",
        "purpose_id",
        "supporter__code",
        "exchange",
        "foreign__amount",
    ):
        found[ref] = BookedRow(
            GIFT, pk, amount, share + cost, payout, purpose, party or "", exchange, Money(foreign or 0)
        )
    returns = GiftReturn.objects.filter(**here).order_by()
    for ref, *told in returns.values_list("platform_ref", *_RETURN):
        found[ref] = _return(*told)
    fees = PlatformFee.objects.filter(**here).order_by()
    for ref, pk, amount, payout, side in fees.values_list(
        "platform_ref", "pk", "amount", "payout_id", "side"
    ):
        ways = (DISPUTE_FEE, DISPUTE_FEE_BACK) if side == DISPUTE_SIDE else (FEE, FEE_BACK)
        found[ref] = BookedRow(ways[amount.minor < 0], pk, abs(amount), Money.zero, payout, "", "")
    return found


_RETURN = ("kind", "pk", "amount", "fee", "payout_id", "purpose_id", "exchange")


def _return(
    kind: str, pk: int, amount: Money, fee: Money, payout: int | None, purpose: str, exchange: Money
) -> BookedRow:
    return BookedRow(kind, pk, abs(amount), fee, payout, purpose, "", exchange)


def unnamed_refunds(platform: Platform, rows: Sequence[FileRow]) -> dict[str, BookedRow]:
    """Refunds booked without the platform's id (a burst of card testing undone at once), by the id of their gift."""
    if not rows:
        return {}
    waiting = GiftReturn.objects.filter(
        kind=REFUND,
        platform_ref="",
        payout=None,
        gift__platform=platform,
        gift__platform_ref__in=among(sorted({row.gift_ref for row in rows})),
    ).order_by()
    return {ref: _return(*told) for ref, *told in waiting.values_list("gift__platform_ref", *_RETURN)}


def unnamed_by_amount(platform: Platform, named: Collection[str]) -> dict[Money, list[BookedRow]]:
    """The same refunds, all of this platform but those of ``named`` gifts, by what each moved; the oldest last."""
    waiting = GiftReturn.objects.filter(kind=REFUND, platform_ref="", payout=None, gift__platform=platform)
    found: dict[Money, list[BookedRow]] = {}
    for ref, *told in waiting.order_by("-on", "-pk").values_list("gift__platform_ref", *_RETURN):
        if ref not in named:
            row = _return(*told)
            found.setdefault(row.moved, []).append(row)
    return found


def disputes_of(platform: Platform, gift_refs: Sequence[str]) -> dict[str, str]:
    """The platform's id of the dispute of each of these gifts, by its id of the gift."""
    if not gift_refs:
        return {}
    known = GiftReturn.objects.filter(
        kind=CHARGEBACK, gift__platform=platform, gift__platform_ref__in=among(sorted(set(gift_refs)))
    ).order_by()
    return dict(known.values_list("gift__platform_ref", "platform_ref"))
