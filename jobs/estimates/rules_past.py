"""How estimates of a kind of job compared with what it really cost. No database here."""

from dataclasses import dataclass

from fund.money import Money, total
from jobs.hours.rules import hours_text
from jobs.hours.rules_book import tallied


@dataclass(frozen=True)
class PastJob:
    """One repair that was handed back: its first estimate and its booked cost, core deposits in neither.

    ``clock`` and ``book`` in tenths of an hour (no book: None); ``cause`` is a key of ``CAUSES`` when the clock passed
    the book, ``why`` the same in the mechanic's words.
    """

    number: str
    estimate: Money
    cost: Money
    clock: int = 0
    book: int | None = None
    cause: str = ""
    why: str = ""


@dataclass(frozen=True)
class Past:
    """The last repairs of a kind, newest first."""

    rows: tuple[PastJob, ...]

    @property
    def estimated(self) -> Money:
        return total(row.estimate for row in self.rows)

    @property
    def cost(self) -> Money:
        return total(row.cost for row in self.rows)

    @property
    def over(self) -> int:
        """How many cost more than was estimated."""
        return sum(row.cost > row.estimate for row in self.rows)

    @property
    def percent(self) -> int | None:
        """The cost of all of them in percent of their estimates, rounded half up; None without any estimate."""
        if self.estimated <= Money.zero:
            return None
        return (self.cost.minor * 200 + self.estimated.minor) // (2 * self.estimated.minor)

    @property
    def sentence(self) -> str:
        if not self.rows:
            return ""
        many = f"The last {len(self.rows)} cost" if len(self.rows) > 1 else "The last one cost"
        share = f", {self.percent}% of it" if self.percent is not None else ""
        return f"{many} {self.cost.dollars} where {self.estimated.dollars} was estimated{share}; {self.over} ran over."

    @property
    def timed(self) -> list[PastJob]:
        """Those with hours by the clock and by the book: only they can be compared."""
        return [row for row in self.rows if row.clock and row.book]

    @property
    def hours_percent(self) -> int | None:
        """Clock hours of those in percent of their book hours, rounded half up; None where there is none."""
        book = sum(row.book or 0 for row in self.timed)
        clock = sum(row.clock for row in self.timed)
        return (clock * 200 + book) // (2 * book) if book else None

    def planned(self, book: int | None) -> int | None:
        """Tenths of an hour to plan where the book gives so many: as much longer as earlier ones took, rounded up."""
        sums = sum(row.clock for row in self.timed), sum(row.book or 0 for row in self.timed)
        if not book or not sums[1]:
            return None
        return -(-book * sums[0] // sums[1])

    @property
    def hours_sentence(self) -> str:
        if self.hours_percent is None:
            return ""
        clock = hours_text(sum(row.clock for row in self.timed))
        book = hours_text(sum(row.book or 0 for row in self.timed))
        why = tallied(row.cause for row in self.timed if row.cause)
        because = f" Why longer: {why}." if why else ""
        return f"By the clock they took {clock} h where the book gives {book} h, {self.hours_percent}% of it.{because}"
