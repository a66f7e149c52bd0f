"""Which papers the counter may book: lost receipts, late ones, purchases after the hand-back. Pure.

The limits are the fund's own dated rules; where they start is common practice and has no source.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fund.money import Money
from fund.receipts.homes import HOMES
from fund.refusal import BadInput, NotReady, Refusal


@dataclass(frozen=True, slots=True)
class MissingLimits:
    """Amounts in minor units; ``quarter`` is how many one person may have in a calendar quarter."""

    each: Money
    quarter: int
    never: Money


def quarter_of(day: date) -> tuple[date, date]:
    """First day of the calendar quarter of a day, and first day of the next."""
    first = (day.month - 1) // 3 * 3 + 1
    after = date(day.year + 1, 1, 1) if first == 10 else date(day.year, first + 3, 1)
    return date(day.year, first, 1), after


def missing_refusal(total: Money, earlier: int, limits: MissingLimits, owner: bool) -> str:
    """Why a purchase without its receipt cannot be booked; empty when it can.

    Up to ``each`` whoever approves; from there to ``never`` the owner alone; above that nobody.
    """
    if total > limits.never:
        return (
            f"{total} without a receipt is above {limits.never}, the most the fund ever pays without one."
            " Ask the store for a copy."
        )
    if earlier >= limits.quarter:
        return (
            f"This would be purchase number {earlier + 1} without a receipt in this quarter; {limits.quarter} is the most"
            " for one person."
        )
    if total > limits.each and not owner:
        return f"{total} without a receipt is above {limits.each}: the owner decides. Ask the owner."
    return ""


def days_old(on: date, handed_in: date) -> int:
    return (handed_in - on).days


def late_refusal(code: str, on: date, handed_in: date, most: int, owner: bool, reason: str) -> str:
    """Why a receipt paid with somebody's own money comes too late; empty when it may be booked."""
    days = days_old(on, handed_in)
    if days <= most:
        return ""
    if not owner:
        return (
            f"{code} is {days} days old; after {most} days the owner decides whether it is paid back."
            " It may be taxable to the person who paid: ask the accountant."
        )
    return "" if reason.strip() else f"{code} is {days} days old. Say on the receipt why it is late."


def after_end(
    on: date,
    tender: str,
    shares: Sequence[tuple[str, str | None]],
    ended: Mapping[str, date],
    reason: str,
    did: str = "bought",
) -> Refusal | None:
    """A part bought (or ``did``: taken from the shelf, which has no tender) after the work on its repair ended, or None.

    ``shares`` are (home, repair). Let in with a reason: a part of a comeback, and a bill on the store's account, which
    comes when the store writes it. Supplies and tools are for no repair and are not asked.
    """
    later, where = ("a bill on the store's account or shop", " on the receipt") if tender else ("shop", "")
    for home, repair in shares:
        if not repair or not HOMES[home].cost or repair not in ended or on <= ended[repair]:
            continue
        if home != "comeback" and tender != "supplier_bill":
            between = ", " if tender else " or "
            return NotReady(
                f"{repair} ended on {ended[repair]}, before this was {did} on {on}."
                f" Only a part of a comeback{between}{later} supplies can come later."
            )
        if not reason.strip():
            return BadInput(f"{repair} ended on {ended[repair]}. Say{where} why this comes later.")
    return None


_NO_PARTS = re.compile(
    r"\b(gift ?cards?|snacks?|candy|soda|chips|coffee|lunch|beer|cigarettes?|tobacco|lotter\w*|energy drinks?|t-?shirts?)\b",
    re.I,
)
# Also asked of the database, so it keeps to what every engine reads alike.
VAGUE = r"^\s*(misc\w*\.?( (items?|parts?))?|items?|parts?|stuff|things?|various|other|merchandise|dept\.? ?\d*)\s*$"
_VAGUE = re.compile(VAGUE, re.I)


def says_nothing(text: str) -> bool:
    """Whether the words of a line do not tell what was bought."""
    return bool(_VAGUE.match(text))


def odd_lines(lines: Sequence[tuple[str, str]]) -> list[str]:
    """Questions about lines, (text, home) each, that are hardly parts or say nothing. Nothing is refused for it."""
    asked = []
    for text, home in lines:
        if home != "personal" and _NO_PARTS.search(text):
            asked.append(
                f"“{text}”: is it for the fund? If not, send the line to “personal”; its tax goes with it."
            )
        elif says_nothing(text):
            asked.append(f"“{text}” says nothing to whoever looks at it later. Write what it was.")
    return asked


def above_allowance(repair: str, promised: Money, tolerance: Money, spent: Money, amount: Money) -> str:
    """Why ``amount`` more cannot be bought for a repair; empty when it can. Said before the posting would refuse it."""
    limit = promised + tolerance
    if not promised:
        return f"Nothing has been approved for {repair} yet. Ask for an approval first."
    if spent + amount <= limit:
        return ""
    return (
        f"{repair} would reach {spent + amount}: {promised} was approved with a tolerance of {tolerance}, so {limit}"
        f" is the most. Ask for a supplement of at least {spent + amount - limit} first."
    )
