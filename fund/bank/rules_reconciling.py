"""The statement of reconciliation: both sides brought to the money that is really there. Pure.

The form is the one of OpenStax, Principles of Accounting vol. 1, 8.6: the bank's balance with deposits in transit,
outstanding checks and the bank's own errors; the books' balance with what only the bank knew and the books' errors.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from fund.money import Money, total

OLD_DAYS = 30  # older items need a word of explanation (common practice)
QUERY_DAYS, REISSUE_DAYS = (
    60,
    120,
)  # a check: ask after 60 days, stop and write it anew after 90 to 180 (common practice)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that only one side knows. ``amount`` is signed from the fund's side; ``age`` in days at the month's end.

    ``key`` names it in forms: ``entry-12`` or ``line-34``.
    """

    key: str
    label: str
    on: date
    amount: Money
    age: int = 0
    note: str = ""

    @property
    def advice(self) -> str:
        """What is done about an item of this age."""
        if self.amount >= Money.zero:
            return "Ask the bank or the platform where it is." if self.age > OLD_DAYS else ""
        if self.age >= REISSUE_DAYS:
            return (
                "Ask the payee, have the bank stop it, then take the payment back and pay anew. If nobody claims it, the "
                "state's rules on unclaimed property apply: ask the accountant."
            )
        return "Ask the payee whether it arrived." if self.age > QUERY_DAYS else ""


@dataclass(frozen=True, slots=True)
class Reckoning:
    """A month's end, in minor units. Every amount is signed as it moves its side.

    ``outstanding`` amounts are negative. ``bank_errors`` hold what puts the bank's balance right; ``only_bank`` what the
    books do not know yet, or booked later; ``book_errors`` what puts the books right.
    """

    statement: Money
    books: Money
    in_transit: tuple[Item, ...] = ()
    outstanding: tuple[Item, ...] = ()
    bank_errors: tuple[Item, ...] = ()
    only_bank: tuple[Item, ...] = ()
    book_errors: tuple[Item, ...] = ()

    @property
    def bank_side(self) -> Money:
        return self.statement + sum_items(self.in_transit, self.outstanding, self.bank_errors)

    @property
    def book_side(self) -> Money:
        return self.books + sum_items(self.only_bank, self.book_errors)

    @property
    def difference(self) -> Money:
        return self.bank_side - self.book_side

    @property
    def unexplained(self) -> list[Item]:
        """Items that are old and have no word beside them."""
        return [
            item for item in (*self.in_transit, *self.outstanding) if item.age > OLD_DAYS and not item.note
        ]


GROUPS = ("in_transit", "outstanding", "bank_errors", "only_bank")


def sum_items(*groups: Sequence[Item]) -> Money:
    return total(item.amount for group in groups for item in group)


def with_notes(items: Sequence[Item], notes: dict[str, str]) -> tuple[Item, ...]:
    return tuple(replace(item, note=notes.get(item.key, "").strip()[:300] or item.note) for item in items)


def frozen(found: Reckoning) -> dict[str, Any]:
    """The reckoning as JSON: amounts in minor units, days as text."""
    told: dict[str, Any] = {"statement": found.statement.minor, "books": found.books.minor}
    for group in GROUPS:
        told[group] = [
            asdict(item) | {"amount": item.amount.minor, "on": item.on.isoformat()}
            for item in getattr(found, group)
        ]
    return told | {"adjusted": found.bank_side.minor}


def thawed(told: dict[str, Any]) -> Reckoning:
    groups = {
        group: tuple(
            Item(**{**item, "amount": Money(item["amount"]), "on": date.fromisoformat(item["on"])})
            for item in told[group]
        )
        for group in GROUPS
    }
    return Reckoning(Money(told["statement"]), Money(told["books"]), **groups)


def same_figures(first: Reckoning, second: Reckoning) -> bool:
    """Whether two reckonings agree in all but the words beside the items."""

    def bare(found: Reckoning) -> Any:
        return [found.statement, found.books] + [
            sorted((item.key, item.amount.minor) for item in getattr(found, group)) for group in GROUPS
        ]

    return bool(bare(first) == bare(second))
