"""The monthly pattern of a supporter: giving, being retried, or lapsed. Pure; days only, no money."""

from dataclasses import dataclass
from datetime import date, timedelta

ACTIVE, RETRYING, LAPSED = "active", "retrying", "lapsed"
PATTERNS = {ACTIVE: "active", RETRYING: "retrying", LAPSED: "lapsed"}
MONTH = timedelta(days=31)
GRACE = timedelta(days=7)  # platforms charge on their own day of the month (common practice)
RETRY = timedelta(days=35)  # most cards that fail recover within a month (common practice)
RULE = (
    "Monthly: gifts through the membership platform in at least two months, and in more than half of the months from the "
    "first to the latest. Active: the latest no more than a month and a week ago. Retrying: later than that, and a declined "
    "card since the latest gift, no more than 35 days ago. Lapsed: neither."
)


@dataclass(frozen=True, slots=True)
class Pattern:
    """``state`` is empty for someone who does not give monthly; ``words`` says from which days it follows."""

    state: str
    words: str


NONE = Pattern("", "")


def pattern_of(
    first: date | None, latest: date | None, months: int, declined_on: date | None, today: date
) -> Pattern:
    """The pattern from the first and latest membership gift, in how many months there were any, and the latest decline.

    A card that was declined and then charged is active: the gift counts on the day it succeeded.
    """
    if first is None or latest is None or months < 2:
        return NONE
    span = (latest.year - first.year) * 12 + latest.month - first.month + 1
    if months * 2 <= span:
        return NONE
    if today - latest <= MONTH + GRACE:
        return Pattern(ACTIVE, f"latest gift {latest}")
    if declined_on and declined_on > latest and today - declined_on <= RETRY:
        return Pattern(RETRYING, f"latest gift {latest}, card declined {declined_on}")
    return Pattern(LAPSED, f"latest gift {latest}")
