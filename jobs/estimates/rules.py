"""What an estimate adds up to, and how far the bill may run over it."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from fund.money import Money, total


class Kind(StrEnum):
    """Kinds of estimate line. A core deposit comes back, so it is never part of the cost."""

    PART = "part"
    FLUID = "fluid"
    OUTSIDE = "outside work"
    FEE = "fee"
    TAX = "tax"
    CORE = "core deposit"
    CONTINGENCY = "contingency"


CONDITIONS = ("new", "reman", "used")


class Priced(Protocol):
    """Anything with a kind and an amount: a stored line or a draft."""

    @property
    def kind(self) -> str: ...
    @property
    def amount(self) -> Money: ...


@dataclass(frozen=True)
class LineDraft:
    """One line of an estimate as written. Quantity in thousandths of the unit, amount for the whole line.

    ``other_amount`` is what another store asks for the same; it is compared and never added up.
    """

    kind: Kind
    text: str
    amount: Money
    quantity: int = 1000
    unit: str = ""
    condition: str = ""
    store: str = ""
    other_amount: Money | None = None
    other_store: str = ""


@dataclass(frozen=True)
class EstimateTotal:
    """Cost is what the fund spends for good; cores is what it lays out and gets back."""

    by_kind: tuple[tuple[str, Money], ...]
    cost: Money
    cores: Money

    @property
    def laid_out(self) -> Money:
        """Money that leaves the bank at the counter, deposits included."""
        return self.cost + self.cores


def add_up(lines: Iterable[Priced]) -> EstimateTotal:
    """Sum an estimate: cost without core deposits, and the deposits beside it."""
    kept = list(lines)
    by_kind = tuple(
        (kind.value, total(line.amount for line in kept if line.kind == kind))
        for kind in Kind
        if any(line.kind == kind for line in kept)
    )
    cores = total(line.amount for line in kept if line.kind == Kind.CORE)
    return EstimateTotal(by_kind, total(line.amount for line in kept) - cores, cores)


class Shape(StrEnum):
    """How a percentage and a dollar figure make one tolerance; laws and policies know all of these."""

    NONE = "none"
    PERCENT = "percent"
    DOLLARS = "dollars"
    LESSER = "lesser of both"
    GREATER = "greater of both"
    CAPPED = "percent, capped"
    GREATER_CAPPED = "greater of both, capped"


@dataclass(frozen=True)
class ToleranceRule:
    """A shape with its figures: percent as a whole number, dollars and cap as money."""

    shape: Shape
    percent: int = 0
    dollars: Money = Money.zero
    cap: Money = Money.zero

    @property
    def words(self) -> str:
        """The rule as a reader of a decision needs it: “10% or $50.00, whichever is less”."""
        percent, dollars = f"{self.percent}%", self.dollars.dollars
        match self.shape:
            case Shape.NONE:
                return "nothing"
            case Shape.PERCENT:
                return percent
            case Shape.DOLLARS:
                return dollars
            case Shape.LESSER:
                return f"{percent} or {dollars}, whichever is less"
            case Shape.GREATER:
                return f"{percent} or {dollars}, whichever is more"
            case Shape.CAPPED:
                return f"{percent}, at most {self.cap.dollars}"
            case Shape.GREATER_CAPPED:
                return f"{percent} or {dollars}, whichever is more, at most {self.cap.dollars}"


def tolerance(estimate: Money, rule: ToleranceRule) -> Money:
    """How far the bill may pass the estimate without a new yes, on the whole of it and never line by line.

    A part of a cent is dropped, so that the tolerance never passes its percentage. Shapes follow written-estimate
    rules of several places; ``tests/jobs/estimates/test_tolerance.py`` names each with its source. Local law decides;
    the fund's default is the lesser of 10% and $50.
    """
    share = Money(estimate.minor * rule.percent // 100)
    match rule.shape:
        case Shape.NONE:
            return Money.zero
        case Shape.PERCENT:
            return share
        case Shape.DOLLARS:
            return rule.dollars
        case Shape.LESSER:
            return min(share, rule.dollars)
        case Shape.GREATER:
            return max(share, rule.dollars)
        case Shape.CAPPED:
            return min(share, rule.cap)
        case Shape.GREATER_CAPPED:
            return min(max(share, rule.dollars), rule.cap)
