"""All figures of a month as one value, and what of them must foot beside the money table. No database here."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fund.money import Money, total
from reports.month.rules import Ledger, RepairLine, Row


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Hours of one skill at one rate: tenths, rate per hour and value in minor units (no rate: not valued)."""

    skill: str
    tenths: int
    rate: Money | None
    value: Money
    basis: str


@dataclass(frozen=True, slots=True)
class LaterChange:
    """What an entry of this month changed in an earlier month's story. ``amount`` as its line in the table counts.

    ``published`` and ``now`` are a repair's cost before and after; None where no repair is named.
    """

    concerns: str
    label: str
    amount: Money
    alias: str = ""
    published: Money | None = None
    now: Money | None = None


@dataclass(frozen=True, slots=True)
class Turnover:
    """An account through the month. ``more`` and ``less`` are its debits and credits, both positive."""

    opening: Money
    more: Money
    less: Money
    closing: Money


@dataclass(frozen=True, slots=True)
class Promise:
    """Free to commit at the end of the month: the bank less each subtraction."""

    bank: Money
    subtractions: tuple[Row, ...]
    free: Money


@dataclass(frozen=True, slots=True)
class Counts:
    """How many asked, waited, were helped and were declined; and repairs that came back."""

    asked: int
    waiting: int
    helped: int
    declined: int
    comebacks: int


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures of one month, before and after it is closed."""

    ledger: Ledger
    bank: Turnover
    shelf: Turnover
    cores_out: Money
    repairs: tuple[RepairLine, ...]
    loose_cost: Money
    promise: Promise
    hours: tuple[HoursRow, ...]
    labor_posted: Money
    counts: Counts
    later: tuple[LaterChange, ...]
    later_moves: int
    rules: Mapping[str, Any]
    income_line: Mapping[str, Any] | None

    @property
    def month(self) -> str:
        return self.ledger.month

    @property
    def tenths(self) -> int:
        return sum(row.tenths for row in self.hours)

    @property
    def hours_value(self) -> Money:
        return total(row.value for row in self.hours)


def extra_differences(figures: Figures) -> list[str]:
    """What does not foot outside the money table: bank, shelf, free to commit."""
    said = []
    for word, turn in (("The bank", figures.bank), ("The shelf", figures.shelf)):
        rest = turn.opening + turn.more - turn.less - turn.closing
        if rest:
            said.append(f"{word} does not foot: it is off by {rest}.")
    rest = (
        figures.promise.bank
        - total(row.amount for row in figures.promise.subtractions)
        - figures.promise.free
    )
    if rest:
        said.append(f"Free to commit does not foot: it is off by {rest}.")
    if figures.promise.bank != figures.bank.closing:
        off = figures.promise.bank - figures.bank.closing
        said.append(f"Free to commit starts from a bank balance that is off by {off}.")
    return said
