"""A store's statement of account beside the papers the fund holds: what agrees, what is missing on either side. Pure."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from fund.money import Money, parse_money, total
from fund.refusal import BadInput

NEAR = 5  # days that the same amount may lie apart when the numbers do not help (common practice, no source)


@dataclass(frozen=True, slots=True)
class Stated:
    """One row of the statement. ``number`` may be empty, ``on`` unknown; minus is a credit."""

    number: str
    on: date | None
    amount: Money

    @property
    def words(self) -> str:
        parts = [f"no. {self.number}" if self.number else "", f"of {self.on}" if self.on else ""]
        return " ".join([*filter(None, parts), str(self.amount)])


@dataclass(frozen=True, slots=True)
class Held:
    """A bill in the books that is not paid: ``left`` is what is still to pay of it."""

    code: str
    number: str
    on: date
    left: Money


@dataclass(frozen=True, slots=True)
class Compared:
    """``same`` agree. ``differ`` have one number and two amounts. ``only_there`` has no paper here, ``only_here`` no row there.

    ``papers`` is the sum of all the fund holds, ``matched`` of what agrees, ``apart`` = statement less papers.
    """

    said: Money
    same: tuple[tuple[Stated, Held], ...] = field(default_factory=tuple)
    differ: tuple[tuple[Stated, Held], ...] = field(default_factory=tuple)
    only_there: tuple[Stated, ...] = field(default_factory=tuple)
    only_here: tuple[Held, ...] = field(default_factory=tuple)

    @property
    def papers(self) -> Money:
        rows = [*(held for _, held in self.same), *(held for _, held in self.differ), *self.only_here]
        return total(row.left for row in rows)

    @property
    def matched(self) -> Money:
        return total(held.left for _, held in self.same)

    @property
    def apart(self) -> Money:
        return self.said - self.papers


def rows_of_statement(text: str) -> list[Stated]:
    """Rows as typed, ``number day amount``; number and day may be left out. Refuses a row without an amount at its end."""
    found = []
    for at, row in enumerate((row.strip() for row in text.splitlines()), start=1):
        if not row:
            continue
        *words, last = row.split()
        try:
            amount = parse_money(last)
        except BadInput as refusal:
            raise BadInput(f"Row {at}, “{row[:40]}”: write the amount at its end, like 37.60.") from refusal
        days = [word for word in words if _day(word)]
        number = " ".join(word for word in words if word not in days)
        found.append(Stated(number[:40], _day(days[0]) if days else None, amount))
    return found


def _day(word: str) -> date | None:
    try:
        return date.fromisoformat(word)
    except ValueError:
        return None


def plain(number: str) -> str:
    """A number as compared: case, leading zeros and marks do not count."""
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"[^a-z0-9]", "", number.lower()))


def compare(said: Money, stated: Sequence[Stated], held: Sequence[Held]) -> Compared:
    """By number first, then by equal amount on a near day. Without rows nothing is matched unless the sums are equal."""
    if not stated:
        if said == total(row.left for row in held):
            return Compared(said, tuple((Stated(row.number, row.on, row.left), row) for row in held))
        return Compared(said, only_here=tuple(held))
    there, here = list(stated), list(held)
    same: list[tuple[Stated, Held]] = []
    differ: list[tuple[Stated, Held]] = []
    for row in stated:
        paper = next(
            (one for one in here if plain(row.number) and plain(one.number) == plain(row.number)), None
        )
        if paper:
            (same if paper.left == row.amount else differ).append((row, paper))
            there.remove(row)
            here.remove(paper)
    for row in list(there):
        paper = next((one for one in here if one.left == row.amount and _near(row.on, one.on)), None)
        if paper:
            same.append((row, paper))
            there.remove(row)
            here.remove(paper)
    return Compared(said, tuple(same), tuple(differ), tuple(there), tuple(here))


def _near(one: date | None, other: date) -> bool:
    return one is None or abs((one - other).days) <= NEAR


def sum_refusal(said: Money, stated: Sequence[Stated]) -> str:
    """Why the rows typed are not the statement; empty when they add up to it, or when none was typed."""
    rows = total(row.amount for row in stated)
    if not stated or rows == said:
        return ""
    return f"The rows add up to {rows}, the statement says {said}: {abs(said - rows)} apart. A row not typed yet?"
