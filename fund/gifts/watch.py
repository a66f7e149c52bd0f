"""The second look: exceptions, card testing, large first gifts. Parts of actions, called inside their transaction."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime, time, timedelta

from django.db.models import Max, Sum

from fund import clock
from fund.access.models import Person
from fund.bulk import among
from fund.commitments.actions_held import hold_amount, let_go
from fund.commitments.models import HeldAmount
from fund.gifts.matching import Giver
from fund.gifts.models import CashCount, Gift, GiftException, GiftReturn, Payout
from fund.gifts.queries_booked import returned_so_far
from fund.gifts.rules import CARD, GENERAL, PLATFORM
from fund.gifts.rules_layout import GIFT
from fund.gifts.rules_rows import FileRow
from fund.gifts.rules_watch import LARGE_FIRST, TESTING, Charged, large_from, testing_burst
from fund.money import Money
from fund.numbers import next_code
from fund.rulebook.queries import rule
from fund.trail.actions import record

YEAR = timedelta(days=365)


def flag(
    *, by: Person, kind: str, text: str, gifts: Sequence[Gift] = (), count: CashCount | None = None
) -> GiftException:
    """Write down that something is owed a second look."""
    code = next_code(GiftException, "code", "X-")
    found = GiftException.objects.create(code=code, kind=kind, on=clock.today(), text=text[:300], count=count)
    found.gifts.set(gifts)
    record(by=by, action="gift.exception", subject=code, text=text[:300])
    return found


def large_first_from(kind: str) -> Money | None:
    """First gifts by this way above this amount are watched today; None while there are too few gifts to tell."""
    since = clock.today() - YEAR
    # Small gifts that tried out stolen cards would pull the median down.
    amounts = Gift.objects.filter(kind=kind, received_on__gte=since, testing=False).order_by("amount")
    many = amounts.count()
    middle = amounts.values_list("amount", flat=True)[(many - 1) // 2 : many // 2 + 1] if many else []
    return large_from(many, [amount.minor for amount in middle])


def watch_by_hand(*, by: Person, gift: Gift) -> None:
    """A gift through a platform, entered by hand: is it a large first one?"""
    if gift.kind not in (CARD, PLATFORM):
        return
    limit = large_first_from(gift.kind)
    before = Gift.objects.filter(supporter=gift.supporter).exclude(pk=gift.pk)
    if limit is not None and gift.amount > limit and not (gift.supporter and before.exists()):
        _flag_large(by, gift, limit)


def _flag_large(by: Person, gift: Gift, limit: Money) -> None:
    days = rule("dispute_watch_days", gift.received_on)
    until = gift.received_on + timedelta(days=days)
    text = (
        f"{gift.code}: first gift of {gift.amount.dollars}, more than {limit.dollars} (5 times the median). "
        f"Not promised to anyone before {until}."
    )
    flag(by=by, kind=LARGE_FIRST, text=text, gifts=[gift])


def watch_import(
    *, by: Person, kind: str, rows: Sequence[FileRow], givers: dict[int, Giver], payouts: Sequence[Payout]
) -> None:
    """Look at the gifts of a file that was just posted, and keep young money out of what may be promised."""
    gifts = [row for row in rows if row.kind == GIFT]
    known = _gave_before(gifts, {giver.pk for giver in givers.values() if not giver.fresh})
    strangers = [row for row in gifts if row.row not in givers or givers[row.row].pk not in known]
    if strangers and kind == CARD:
        _flag_testing(by, strangers)
    limit = large_first_from(kind) if strangers else None
    if limit is not None:
        large = _firsts(strangers, givers, limit)
        for gift in _gifts_of(large):
            _flag_large(by, gift, limit)
    hold_young(payouts)


def _gave_before(gifts: Sequence[FileRow], pks: set[int]) -> set[int]:
    """Those of these supporters who had given before this file."""
    if not pks:
        return set()
    refs = among(sorted(row.ref for row in gifts))
    older = Gift.objects.filter(supporter__in=pks).exclude(platform_ref__in=refs)
    return set(older.order_by().values_list("supporter_id", flat=True).distinct())


def _firsts(strangers: Iterable[FileRow], givers: dict[int, Giver], limit: Money) -> list[FileRow]:
    """The large ones among the first gifts: of each giver only the earliest counts."""
    seen: set[int] = set()
    large = []
    for row in sorted(strangers, key=lambda row: (row.on, row.row)):
        giver = givers.get(row.row)
        if giver is not None and giver.pk in seen:
            continue
        if giver is not None:
            seen.add(giver.pk)
        if row.amount > limit:
            large.append(row)
    return large


def _gifts_of(rows: Sequence[FileRow]) -> list[Gift]:
    # A reference is unique on its platform only; these rows were written a moment ago, so the newest are meant.
    refs = among(sorted(row.ref for row in rows))
    newest = {gift.platform_ref: gift for gift in Gift.objects.filter(platform_ref__in=refs).order_by("pk")}
    return [newest[row.ref] for row in rows]


def _flag_testing(by: Person, strangers: Sequence[FileRow]) -> None:
    charges = [
        Charged(
            row.ref,
            datetime.combine(row.on, time()) + timedelta(seconds=max(row.second, 0)),
            row.second >= 0,
            row.amount,
        )
        for row in strangers
    ]
    burst = set(testing_burst(charges))
    rows = [row for row in strangers if row.ref in burst]
    if rows:
        total = Money(sum(row.amount.minor for row in rows))
        text = f"{len(rows)} gifts of {total.dollars} in all from strangers in a burst: somebody may be trying out cards."
        flag(by=by, kind=TESTING, text=text, gifts=_gifts_of(rows))


def hold_young(payouts: Collection[Payout]) -> None:
    """What came to the bank with these payouts: large first gifts are held, unless they went back."""
    young = Gift.objects.filter(
        payout__in=[payout.pk for payout in payouts],
        exceptions__kind=LARGE_FIRST,
        exceptions__resolved_on=None,
    ).select_related("payout__entry")
    gone = returned_so_far([gift.pk for gift in young])
    for gift in young:
        if gone.get(str(gift.pk), 0) > 0:
            continue
        assert gift.payout is not None
        # Fees come out of general money, so a restricted gift lies in the bank whole.
        kept = gift.platform_fee + gift.processing_fee + gift.exchange
        days = rule("dispute_watch_days", gift.received_on)
        hold_amount(
            source=gift.code,
            amount=gift.amount - kept if gift.purpose_id == GENERAL else gift.amount,
            since=gift.payout.paid_on,
            until=gift.received_on + timedelta(days=days),
            reason=f"First gift {gift.code} is watched for {days} days.",
            purpose=gift.purpose_id,
            entry=gift.payout.entry,
        )
    let_go_returned()


def let_go_returned() -> None:
    """Held gifts that went back by now: their money is owed to the platform or gone, and not taken off a second time."""
    held = HeldAmount.objects.filter(ended_on=None).values("source")
    back = GiftReturn.objects.filter(gift__code__in=held).order_by()
    sums = back.values_list("gift__code").annotate(sum=Sum("amount"), on=Max("entry__posting_date"))
    for code, amount, on in sums:
        if amount > Money.zero:
            let_go(sources=[code], on=on)
