"""What deserves a second look before the money is trusted. Pure: no database, no clock."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from fund.money import Money

TO_CREW, OWN_ACCOUNT, SPENT_FIRST = "check to crew", "own account", "spent first"
TESTING, LARGE_FIRST, APART, ELSEWHERE, EARLY_REFUND = (
    "card testing",
    "large first gift",
    "apart",
    "sent elsewhere",
    "early refund",
)
EXCEPTIONS = {
    TO_CREW: "check payable to a crew member",
    OWN_ACCOUNT: "came through a crew member's own account",
    SPENT_FIRST: "spent before banking",
    TESTING: "looks like card testing",
    LARGE_FIRST: "large first gift",
    APART: "count and receipt book apart",
    ELSEWHERE: "money sent by another way than it came",
    EARLY_REFUND: "refund asked for soon after the gift",
}
LARGE_TIMES = 5  # a first gift above so many times the median is watched (common practice)
ENOUGH_GIFTS = 10  # fewer gifts than this have no median worth the name
BURST, BURST_SECONDS = 3, 60  # more gifts than this within a minute
SMALL, SMALL_MOST, DOZENS = Money(100), Money(500), 24  # "dozens of $1 to $5" on one day
EARLY_DAYS = 30


class Charged(NamedTuple):
    """A card charge of somebody who had given nothing before. ``timed`` says that the second is known."""

    ref: str
    at: datetime
    timed: bool
    amount: Money


def testing_burst(charges: Sequence[Charged]) -> list[str]:
    """References of charges that look like stolen cards being tried out, in order; empty when none do.

    For card processors: a membership platform charges all its members in one go, and that is no sign of anything.
    More than three gifts within one minute from givers never seen before, or two dozen and more of them between
    $1.00 and $5.00 on one day (common practice of processors; the thresholds are ours).
    """
    strangers = sorted(charges, key=lambda charge: charge.at)
    found = set(_within_a_minute([charge for charge in strangers if charge.timed]))
    days: dict[object, list[str]] = {}
    for charge in strangers:
        if SMALL <= charge.amount <= SMALL_MOST:
            days.setdefault(charge.at.date(), []).append(charge.ref)
    found |= {ref for refs in days.values() if len(refs) >= DOZENS for ref in refs}
    return [charge.ref for charge in strangers if charge.ref in found]


def _within_a_minute(timed: Sequence[Charged]) -> Iterable[str]:
    start = 0
    for end, charge in enumerate(timed):
        while charge.at - timed[start].at >= timedelta(seconds=BURST_SECONDS):
            start += 1
        if end - start + 1 > BURST:
            yield from (one.ref for one in timed[start : end + 1])


def large_from(many: int, middle: Sequence[int]) -> Money | None:
    """First gifts above this amount are watched: five times the median of gifts of the same kind, in minor units.

    ``middle`` is the one amount or the two in the middle of ``many``. None when there are too few to have a median.
    """
    if many < ENOUGH_GIFTS:
        return None
    return Money(LARGE_TIMES * (middle[0] + middle[-1]) // 2)
