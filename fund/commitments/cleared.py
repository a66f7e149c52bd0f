"""What the bank itself has not shown yet. The bank's room, which lies above this one, says how to find out."""

from collections.abc import Callable, Mapping
from datetime import date

from fund.money import Money

NotShown = Callable[[date], Mapping[str, Money] | None]
_sources: list[NotShown] = []


def tell_from(source: NotShown) -> None:
    """Take up where to ask. Called once, when the program starts."""
    _sources[:] = [source]


def not_shown(day: date) -> Mapping[str, Money] | None:
    """Money in the books' bank account that no statement shows by a day, by purpose (minor units).

    None while the fund keeps no statements: then the balance of the books is all there is.
    """
    return _sources[0](day) if _sources else None
