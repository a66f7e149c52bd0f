"""What a bank statement is once it is read: rows with their sign, and the balances it begins and ends with. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

from fund.money import Money, total

REPLACE, DELETE, OPENING = "replace", "delete", "opening"
CORRECTIONS = {
    "": "a line",
    REPLACE: "put in place of a line",
    DELETE: "takes a line away",
    OPENING: "opening balance",
}
OFX, CAMT, CSV = "OFX", "camt.053", "CSV"
FORMATS = (OFX, CAMT, CSV)
BOX_SUM = "petty cash sum"
"""Source of the entries that move money between the bank account and petty cash because its sum is changed."""
EXACT, AMOUNT, SEVERAL, HAND, POSTED = "exact", "amount", "several", "hand", "posted"
WAYS = {
    EXACT: "amount and reference",
    AMOUNT: "amount and day",
    SEVERAL: "a sum of several",
    HAND: "chosen by hand",
    POSTED: "posted from the line",
}


class BankRow(NamedTuple):
    """One line as the bank wrote it. ``amount`` is signed from the fund's side: money in is positive.

    ``ref`` is the bank's own id of the line, empty if it gives none. ``corrects`` is the id of an earlier line that
    this one replaces or deletes (``correction``).
    """

    ref: str
    on: date
    amount: Money
    name: str = ""
    text: str = ""
    kind: str = ""
    check_number: str = ""
    corrects: str = ""
    correction: str = ""


@dataclass(frozen=True)
class Sheet:
    """One statement of one account. ``opening`` and ``closing`` are None where the bank does not tell them.

    ``closing_on`` is the day the closing balance stands for; rows of later days are not in it.
    """

    format: str
    rows: tuple[BankRow, ...]
    account: str = ""
    currency: str = ""
    opening: Money | None = None
    closing: Money | None = None
    closing_on: date | None = None

    @cached_property
    def start(self) -> date | None:
        """The day of the first line, which is where the statement joins the one before. (Some banks write any day they
        like as the beginning of the list.)"""
        return min((row.on for row in self.rows), default=self.closing_on)

    @cached_property
    def end(self) -> date | None:
        days = [row.on for row in self.rows] + ([self.closing_on] if self.closing_on else [])
        return max(days, default=None)


def balance_on(sheet: Sheet, day: date) -> Money | None:
    """What lay in the account at the end of a day; None where the file tells no balance."""
    if sheet.opening is not None:
        return sheet.opening + sum_of([row for row in sheet.rows if row.on <= day])
    if sheet.closing is None or sheet.closing_on is None:
        return None
    return sheet.closing - sum_of([row for row in sheet.rows if day < row.on <= sheet.closing_on])


def sum_of(rows: Sequence[BankRow]) -> Money:
    return total(row.amount for row in rows)


def with_own_refs(rows: Sequence[BankRow], made: Sequence[str]) -> tuple[BankRow, ...]:
    """Rows each with a key of its own: a key that stands twice is told apart by its place among its equals.

    ``made`` are keys for rows without the bank's id. Two honest equal lines of one day stay two, and get the same
    keys in any file that holds the whole day.
    """
    seen: dict[str, int] = {}
    out = []
    for row, own in zip(rows, made, strict=True):
        key = row.ref or own
        seen[key] = many = seen.get(key, 0) + 1
        if many > 1:
            key = f"{key} #{many}"
        out.append(row if key == row.ref else row._replace(ref=key))
    return tuple(out)
