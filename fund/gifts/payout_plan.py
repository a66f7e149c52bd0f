"""The plan of an import: what becomes of every row, and what will be written if nothing is refused."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import NamedTuple

from fund.gifts.models import Payout, Platform
from fund.gifts.queries_booked import BookedRow
from fund.gifts.rules_layout import GIFT
from fund.gifts.rules_payout import Group, Tie
from fund.gifts.rules_rows import FileRow
from fund.money import Money

NEW, BOOKED, REFUSED, SKIPPED = "new", "already booked", "refused", "no money moved"


class RowFate(NamedTuple):
    row: int
    fate: str
    why: str
    kind: str = ""
    ref: str = ""
    on: object = None
    who: str = ""
    amount: Money | None = None
    fees: Money | None = None
    purpose: str = ""


@dataclass
class PayoutPlan:
    """One payout of the file. `rows` are what it pays out, purposes settled; `held` are those of them that were
    booked before and waited in clearing; `booked` is set when the payout itself is in the books."""

    group: Group
    tie: Tie
    rows: list[FileRow]
    held: list[FileRow]
    booked: Payout | None

    @property
    def gifts(self) -> int:
        return sum(row.kind == GIFT for row in self.rows)


@dataclass
class Plan:
    """Fates of all rows, and what an import will write if nothing is refused."""

    platform: Platform
    sha256: str
    new_rows: list[FileRow] = field(default_factory=list)
    payouts: list[PayoutPlan] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    already: int = 0
    partial: bool = False  # rows could not be read, so sums of the file are not whole
    returned_gifts: dict[str, BookedRow] = field(default_factory=dict)
    adopted: dict[str, int] = field(default_factory=dict)  # refunds booked before without the platform's id
    lost: dict[str, date] = field(default_factory=dict)  # gifts whose open dispute a row decides, and when
    declines: Sequence[FileRow] = ()
    restricted: dict[str, bool] = field(default_factory=dict)
    tell: Callable[[], Iterator[RowFate]] = field(default=lambda: iter(()))

    @cached_property
    def fates(self) -> list[RowFate]:
        """What becomes of each row, in the order of the file; made when a preview asks for it."""
        return sorted(self.tell(), key=lambda fate: fate.row)

    def count(self, fate: str) -> int:
        return sum(row.fate == fate for row in self.fates)

    @property
    def new_payouts(self) -> list[PayoutPlan]:
        return [payout for payout in self.payouts if payout.booked is None]
