"""What may come in: an estimate that no decision may lean on. Pure. Pledges are intentions, never income."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from fund.ledger.rules import first_day, month_of, next_month
from fund.money import Money, total


@dataclass(frozen=True, slots=True)
class Promise:
    """A pledge as the outlook sees it; a monthly one goes on until it ends."""

    amount: Money
    due_on: date
    monthly: bool


@dataclass(frozen=True, slots=True)
class OutlookMonth:
    """What may come in one month, in minor units."""

    month: str
    members: Money
    pledges: Money

    @property
    def sum(self) -> Money:
        return self.members + self.pledges


def outlook(
    today: date, months: int, members: Sequence[Money], pledges: Iterable[Promise]
) -> list[OutlookMonth]:
    """The next months. ``members`` are the latest monthly gifts of supporters who are active or being retried.

    A pledge whose day is past counts in the first month: it is late, not lost.
    """
    steady, promised = total(members), list(pledges)
    keys = [next_month(month_of(today))]
    while len(keys) < months:
        keys.append(next_month(keys[-1]))
    found = []
    for at, key in enumerate(keys):
        due = [one.amount for one in promised if _falls(one, key, first=at == 0)]
        found.append(OutlookMonth(key, steady, total(due)))
    return found


def _falls(one: Promise, key: str, *, first: bool) -> bool:
    begins = month_of(one.due_on)
    if one.monthly:
        return begins <= key
    return begins == key or (first and one.due_on < first_day(key))
