"""A few amounts out of many that sum to one: a bounded search, because the full one grows without measure. Pure."""

from collections.abc import Sequence
from datetime import date
from typing import Protocol, TypeVar

from fund.money import Money

MOST = 8  # parts of a sum
CANDIDATES = 30  # amounts looked at, those of the nearest days
STEPS = 20_000


class Dated(Protocol):
    @property
    def amount(self) -> Money: ...
    @property
    def on(self) -> date: ...


D = TypeVar("D", bound=Dated)


def find_sum(whole: Dated, parts: Sequence[D]) -> list[D]:
    """The fewest parts, two at least and in their order, that sum to the whole; nothing if none or several sets do.

    Parts of the other sign and larger than the whole are left out. If the search reaches its bound it finds nothing.
    """
    target = abs(whole.amount.minor)
    sign = 1 if whole.amount.minor > 0 else -1
    fit = [part for part in parts if 0 < part.amount.minor * sign < target]
    fit.sort(key=lambda part: abs((part.on - whole.on).days))
    fit = sorted(fit[:CANDIDATES], key=lambda part: -abs(part.amount.minor))
    values = [abs(part.amount.minor) for part in fit]
    search = _Search(values, target)
    for size in range(2, min(MOST, len(values)) + 1):
        sets = search.sets_of(size)
        if sets is None or len(sets) > 1:
            return []
        if sets:
            chosen = {id(fit[at]) for at in sets[0]}
            return [part for part in parts if id(part) in chosen]
    return []


class _Search:
    """Sets of indexes into values that fall from large to small."""

    def __init__(self, values: list[int], target: int) -> None:
        self.values, self.target, self.steps = values, target, 0

    def sets_of(self, size: int) -> list[tuple[int, ...]] | None:
        """Up to two sets of this size that sum to the target; None when the bound is reached.

        Equal amounts are told apart: which of them is meant is then open, so two sets are found.
        """
        self.found: list[tuple[int, ...]] = []
        return self.found if self._walk(0, size, self.target, ()) else None

    def _walk(self, start: int, size: int, left: int, chosen: tuple[int, ...]) -> bool:
        self.steps += 1
        if self.steps > STEPS:
            return False
        values = self.values
        for at in range(start, len(values) - size + 1):
            value = values[at]
            if value * size < left:
                break  # even the largest that remain do not reach it
            if size == 1:
                if value == left:
                    self.found.append((*chosen, at))
            elif value < left and not self._walk(at + 1, size - 1, left - value, (*chosen, at)):
                return False
            if len(self.found) > 1:
                break
        return True
