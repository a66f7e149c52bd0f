"""What the bank itself has not shown yet. The bank's room, which lies above this one, says how to find out."""

from collections.abc import Callable, Collection, Mapping
from datetime import date

from fund.money import Money

NotShown = Callable[[date], Mapping[str, Money] | None]
OfEntries = Callable[[Collection[int], date], Mapping[tuple[int, str], Money]]
_sources: list[tuple[NotShown, OfEntries]] = []


def tell_from(source: NotShown, of_entries: OfEntries) -> None:
    """Take up where to ask. Called once, when the program starts."""
    _sources[:] = [(source, of_entries)]


def not_shown(day: date) -> Mapping[str, Money] | None:
    """Money in the books' bank account that no statement shows by a day, by purpose (minor units).

    None while the fund keeps no statements: then the balance of the books is all there is.
    """
    return _sources[0][0](day) if _sources else None


def not_shown_of(entries: Collection[int], day: date) -> Mapping[tuple[int, str], Money]:
    """What of it these entries brought, by entry number and purpose. No query where no entries are asked about."""
    return _sources[0][1](entries, day) if _sources and entries else {}
