"""How long what a household told is kept, and what is due. Pure.

Common practice of small charities: the file of a household that was helped stands behind the books for years after
the last help; incomes and papers are destroyed sooner, once the year is reviewed; requests that were declined or
withdrawn, or came to their end with nobody to close them, go after one or two years. A fund's lawyer may ask for
other periods: they are dated rules.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

COPY, INCOME, FILE_HELPED, FILE_DECLINED = "copies of papers", "incomes", "file, helped", "file, not helped"

SHOWED = {
    "plate": "a license plate",
    "child": "a child",
    "face": "a face",
    "name": "a name",
    "house": "a house or street",
}
DONE = {
    "pulled": "taken down",
    "blurred": "made unreadable and shown again",
    "reworded": "told in other words",
    "asked": "others were asked to take it down",
}


@dataclass(frozen=True)
class Periods:
    income_months: int
    helped_years: int
    declined_months: int


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What matters of one request.

    ``last_on`` is the last day on which something came of it, ``good_until`` the last day of its yes or of the time
    in which papers that were asked for are waited for, ``stopped_on`` the day from which what was told may no longer
    be used.
    """

    is_open: bool
    last_on: date
    good_until: date | None = None
    stopped_on: date | None = None

    def ended_on(self, today: date) -> date | None:
        """The day it came to an end, whether or not anybody closed it; None while it goes on."""
        if not self.is_open:
            return self.last_on
        if self.stopped_on is not None:
            return max(self.last_on, self.stopped_on)
        if self.good_until is not None and self.good_until < today:
            return max(self.last_on, self.good_until)
        return None


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What matters of one household. ``ended_on`` are the days on which requests came to an end without help."""

    open_requests: bool
    helped_on: Sequence[date]
    ended_on: Sequence[date]
    has_incomes: bool
    copies_due: Sequence[date] = ()
    held: bool = False


@dataclass(frozen=True)
class Due:
    kept_class: str
    due_on: date
    rule: str


def months_after(on: date, months: int) -> date:
    """The same day some months later, or the last day of a shorter month."""
    place = on.year * 12 + on.month - 1 + months
    year, month = divmod(place, 12)
    first_of_next = date(year + (month == 11), (month + 1) % 12 + 1, 1)
    last = (first_of_next - timedelta(days=1)).day
    return date(year, month + 1, min(on.day, last))


def due(kept: Kept, periods: Periods, today: date) -> list[Due]:
    """What has to be destroyed by a day, the largest last. Nothing while a hold stands."""
    if kept.held:
        return []
    found = [Due(COPY, day, "the day set when the copy was kept") for day in kept.copies_due if day <= today]
    if not kept.open_requests:
        found += [row for row in _later(kept, periods) if row.due_on <= today]
    return found


def _later(kept: Kept, periods: Periods) -> list[Due]:
    """Incomes and file, each by what keeps it longest: the last help, or a later request that ended without help."""
    asked = _after_asking(kept, periods)
    if not kept.helped_on:
        return [Due(FILE_DECLINED, *asked)] if asked else []
    last, years = max(kept.helped_on), periods.helped_years
    rows = [Due(FILE_HELPED, months_after(last, years * 12), f"{years} years after the last help")]
    if kept.has_incomes:
        months = periods.income_months
        rows.insert(0, Due(INCOME, months_after(last, months), f"{months} months after the last help"))
    return [Due(row.kept_class, *asked) if asked and asked[0] > row.due_on else row for row in rows]


def _after_asking(kept: Kept, periods: Periods) -> tuple[date, str] | None:
    """When the last request that ended without help is kept no longer: a second look needs what it rested on."""
    if not kept.ended_on:
        return None
    months = periods.declined_months
    return months_after(max(kept.ended_on), months), f"{months} months after the request ended without help"
