"""When the clock passed the book, and why. No database here.

Book hours assume clean, new conditions and one person; a rusted vehicle runs over. From how many times the book on a
reason is asked for is a dated rule of the fund; where it starts is common practice and has no source. Nothing is
refused for it, and the hours stay as they were entered.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.hours.rules import hours_text

CAUSES = {
    "rust": "Rust",
    "seized": "Seized or broken bolts",
    "access": "Hard to get at on this vehicle",
    "first": "First time on this job",
    "learning": "Somebody was learning",
    "together": "Two or more worked on it at once",
    "more": "More was found to do",
    "waiting": "Waited for parts, tools or the lift",
    "book": "The book does not fit this vehicle",
    "other": "Something else",
}


@dataclass(frozen=True)
class Passed:
    """Clock and book in tenths of an hour, and from how many tenths of the book on it is asked why."""

    clock: int
    book: int
    factor: int

    @property
    def sentence(self) -> str:
        return f"{hours_text(self.clock)} h by the clock, {hours_text(self.book)} h by the book."

    @property
    def asked_above(self) -> str:
        """Like ``1.5 times``."""
        return f"{hours_text(self.factor)} times"


def passes(clock: int, book: int | None, factor: int) -> bool:
    """Whether clock hours are above so many tenths of the book hours. Without book hours nothing is passed."""
    return bool(book) and clock * 10 > (book or 0) * factor


def words_of(cause: str, words: str) -> str:
    """The cause with what was written to it."""
    if cause == "other":
        return words
    return f"{CAUSES[cause]}: {words}" if words else CAUSES[cause]


def tallied(causes: Iterable[str]) -> str:
    """``rust (2), first time on this job (1)``, the most frequent first, then in the order of the list."""
    counted = Counter(causes)
    order = list(CAUSES)
    ranked = sorted(counted.items(), key=lambda row: (-row[1], order.index(row[0])))
    return ", ".join(f"{CAUSES[cause][0].lower()}{CAUSES[cause][1:]} ({count})" for cause, count in ranked)
