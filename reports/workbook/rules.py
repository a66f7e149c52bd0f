"""What a workbook's columns are and how its formulas are written. No database, no openpyxl."""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from openpyxl.utils import get_column_letter

from fund.ledger.rules import first_day, last_day
from fund.refusal import BadInput


class Kind(StrEnum):
    """How a column is typed and shown. Money comes in as Money, hours as tenths of an hour."""

    TEXT = "text"
    NUMBER = "number"
    MONEY = "money"
    DAY = "day"
    HOURS = "hours"


FORMATS = {
    Kind.MONEY: "#,##0.00;[Red]-#,##0.00",
    Kind.DAY: "yyyy-mm-dd",
    Kind.HOURS: "0.0",
    Kind.NUMBER: "0",
}


@dataclass(frozen=True)
class Column:
    """A column of a sheet: its heading, type and width in characters; ``summed`` puts a SUM below it."""

    heading: str
    kind: Kind = Kind.TEXT
    width: int = 14
    summed: bool = False


@dataclass(frozen=True)
class Span:
    """Whole months from the first day of one to the last day of another."""

    start: date
    end: date

    @property
    def months(self) -> tuple[str, str]:
        return f"{self.start:%Y-%m}", f"{self.end:%Y-%m}"

    @property
    def words(self) -> str:
        first, last = self.months
        return first if first == last else f"{first} to {last}"


def span_of(start: str, end: str) -> Span:
    """The span of two months ``YYYY-MM``, both in it. Refuses anything else, and an end before the start."""
    span = Span(first_day(start), last_day(end))
    if span.end < span.start:
        raise BadInput(f"{end} comes before {start}. Give the earlier month first.")
    return span


@dataclass(frozen=True)
class Area:
    """Where a written sheet's rows lie, so that formulas of other sheets can speak of its columns."""

    title: str
    columns: tuple[str, ...]
    first: int
    last: int

    def letter(self, heading: str) -> str:
        return get_column_letter(self.columns.index(heading) + 1)

    def column(self, heading: str) -> str:
        """All rows of a column as an absolute range with its sheet."""
        letter = self.letter(heading)
        return f"'{self.title}'!${letter}${self.first}:${letter}${self.last}"

    def total(self, heading: str) -> str:
        """The cell with the sum of a column, two rows below its rows."""
        return f"'{self.title}'!${self.letter(heading)}${self.total_row}"

    @property
    def total_row(self) -> int:
        return self.last + 2


def agrees(left: str, right: str) -> str:
    """A formula that says in words whether two amounts are equal to the cent."""
    gap = f"ROUND(({left})-({right}),2)"
    return f'=IF({gap}=0,"agrees","differs by "&TEXT({gap},"#,##0.00"))'


def site_of(address: str) -> str:
    """The address of the program without a slash at its end; "" for none. Refuses what no link can begin with."""
    if address and not re.fullmatch(r"https?://[A-Za-z0-9.\[\]:-]+(/[A-Za-z0-9._~/-]*)?", address):
        raise BadInput(f"“{address}” is no web address. Give it like https://books.example.org")
    return address.rstrip("/")


def link_to(address: str, words: str) -> str:
    """A formula that opens a page of the program. Neither part may hold a quotation mark: none of ours does."""
    if '"' in address + words:
        raise ValueError("a link is made of codes and addresses only")
    return f'=HYPERLINK("{address}","{words}")'


def sum_of(letter: str, first: int, last: int) -> str:
    return f"=SUM({letter}{first}:{letter}{last})"
