"""What an hour is, when it may be entered, and what a skilled one is worth. No database here.

Hours are whole tenths of an hour, as the trade writes them (15 tenths = 1.5 h = 1 hour 30 minutes).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from fund.money import Money, round_half_up, total
from fund.refusal import BadInput

DAY_LIMIT = 160  # tenths: nobody works more than 16 hours in a day
WHOLE_DAY = 240
_CLOCK = re.compile(r"(\d{1,3})\s*(?::|h)\s*([0-5]\d)\s*(?:m|min)?", re.ASCII)
_MINUTES = re.compile(r"(\d{1,4})\s*(?:m|min|minutes)", re.ASCII)


class Work(StrEnum):
    """What the hours were for. The last three may fall outside the repair's own days."""

    REPAIR = "repair"
    RECHECK = "recheck"
    COMEBACK = "comeback"
    OFFICE = "office"


WORK_LABELS = [
    (Work.REPAIR.value, "Work on the vehicle"),
    (Work.RECHECK.value, "Recheck after hand-back"),
    (Work.COMEBACK.value, "Comeback: same complaint again"),
    (Work.OFFICE.value, "Office or shop, no one vehicle"),
]


def parse_tenths(text: str) -> int:
    """Tenths of an hour from what a person wrote: ``1.5``, ``2``, ``,4``, or hours and minutes, ``1:30``, ``45 min``.

    Refuses anything that is not a number of hours above zero in whole tenths, and says what to write.
    """
    told = text.strip().lower()
    if found := _CLOCK.fullmatch(told):
        return _whole_tenths(text.strip(), Fraction(60 * int(found[1]) + int(found[2]), 6))
    if found := _MINUTES.fullmatch(told):
        return _whole_tenths(text.strip(), Fraction(int(found[1]), 6))
    raw = text.strip().lower().removesuffix("h").strip().replace(",", ".")
    match = re.fullmatch(r"(\d{0,3})(?:\.(\d*))?", raw, re.ASCII)
    if not match or not (match[1] or match[2]):
        raise BadInput(f"“{text.strip()[:20]}” is not a number of hours. Write hours in tenths, like 1.5.")
    return _whole_tenths(f"{raw} h", Fraction(f"0{match[1]}.{match[2] or 0}") * 10)


def _whole_tenths(told: str, tenths: Fraction) -> int:
    if tenths.denominator != 1:
        low = int(tenths)
        near = f"{hours_text(low)} or {hours_text(low + 1)}" if low else hours_text(1)
        raise BadInput(f"{told} is not in tenths of an hour. Write {near}; a tenth is six minutes.")
    if not tenths:
        raise BadInput("Hours must be more than zero.")
    return int(tenths)


def hours_text(tenths: int) -> str:
    """``15`` as ``1.5``; the sign stays."""
    whole, rest = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}.{rest}"


def share_evenly(tenths: int, people: int) -> list[int]:
    """Tenths for each of several people that add up to the whole; the first takes the odd tenth."""
    each, odd = divmod(tenths, people)
    return [each + (place < odd) for place in range(people)]


def worth(tenths: int, per_hour: Money) -> Money:
    """What skilled hours would have cost: tenths x rate, half up to the cent."""
    return round_half_up(Fraction(per_hour.minor * tenths, 10))


def too_many(already: int, more: int, name: str, on: date) -> str | None:
    """Why a day is too full, or None. Both figures are tenths."""
    if already + more <= DAY_LIMIT:
        return None
    if more > WHOLE_DAY:
        return f"{hours_text(more)} h: a day has 24. Enter each day apart."
    had = f" {name} already has {hours_text(already)} h on {day(on)}." if already else ""
    return (
        f"{hours_text(already + more)} h is more than one person can work in a day.{had} The limit is 16.0 h."
    )


LONGEST_AGO = (
    366  # days; nobody remembers their hours longer, and an older year is a slip of the finger (ours)
)


def outside_days(
    on: date,
    *,
    today: date,
    work: Work,
    checked_in: date | None,
    handed_back: date | None,
    stopped: date | None = None,
    came_back: bool = False,
) -> str | None:
    """Why hours of this kind may not carry this day, or None.

    Work on a vehicle lies between its check-in and its hand-back. A recheck and comeback work come after
    hand-back, but for comeback work on a repair order that is itself a comeback (``came_back``); office hours belong to no
    vehicle's days. On a repair that was ``stopped`` nothing is done afterwards.
    """
    if on > today:
        return f"{day(on)} has not come yet. Enter hours on the day or after it."
    if (today - on).days > LONGEST_AGO:
        return f"{day(on)} is more than a year ago, and hours are entered within a year. Look at the year once more."
    if stopped is not None and work is not Work.OFFICE and on > stopped:
        return f"The repair was stopped on {day(stopped)}; nothing is done on it afterwards. Check the day and the repair."
    if work is Work.OFFICE or checked_in is None:
        return None
    if on < checked_in:
        return f"The vehicle came in on {day(checked_in)}; hours on {day(on)} would be before that. Check the day."
    if work is Work.RECHECK or (work is Work.COMEBACK and not came_back):
        return _before_hand_back(on, handed_back)
    if work is Work.REPAIR and handed_back is not None and on > handed_back:
        return (
            f"The vehicle was handed back on {day(handed_back)}. Hours on {day(on)} must be a recheck, "
            "comeback work or office work: choose that, or correct the day."
        )
    return None


def _before_hand_back(on: date, handed_back: date | None) -> str | None:
    if handed_back is None:
        return (
            "The vehicle was not handed back, and a recheck or comeback work comes after that. Choose work on the vehicle, "
            "or the repair order that was handed back."
        )
    if on < handed_back:
        return (
            f"The vehicle was handed back on {day(handed_back)}; a recheck or comeback work on {day(on)} would be before "
            "that. Choose work on the vehicle, or correct the day."
        )
    return None


def day(on: date) -> str:
    """A day as these sentences write it: ``Mar 4, 2026``."""
    return f"{on:%b} {on.day}, {on.year}"


@dataclass(frozen=True)
class Service:
    """A service given without charge, as the accounting standard asks about it."""

    worth: Money
    makes_asset: bool = False
    needs_skill: bool = False
    giver_has_skill: bool = False
    would_be_bought: bool = False


def is_recognized(service: Service) -> bool:
    """Whether formal accounts recognize a contributed service (FASB ASC 958-605-25-16).

    It must create or enhance a non-financial asset, or need a skill that the giver has and that would
    typically have to be bought. Whether this fund posts it at all is the accountant's decision.
    """
    return service.makes_asset or (
        service.needs_skill and service.giver_has_skill and service.would_be_bought
    )


def recognized(services: Iterable[Service]) -> Money:
    """The sum of those services that formal accounts recognize, as income and as cost alike."""
    return total(service.worth for service in services if is_recognized(service))
