"""One sheet written row by row: typed cells, frozen headings, sums below, and no formula but our own.

Memory stays flat: openpyxl's write-only sheets go to a temporary file as rows come.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from decimal import Decimal
from functools import cache
from textwrap import wrap
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.properties import PageSetupProperties

from fund.downloads import FORMULA_STARTS, LONGEST_CELL
from fund.money import Money
from reports.workbook.rules import FORMATS, Area, Column, Kind, sum_of

# "#" too: openpyxl takes text such as "#N/A" for an error value.
_RISKY = frozenset((*FORMULA_STARTS, "#"))
LINE_HEIGHT = 15  # points
_HEAD_FILL = PatternFill("solid", fgColor="EDE6D6")
_TOP_RULE = Border(top=Side("thin"))


class Formula(str):
    """Text that is meant to be computed. Only this module's callers make one, never from what people typed."""


class SheetWriter:
    """Rows of typed values in the order of ``columns``; None and "" leave a cell out."""

    def __init__(self, book: Workbook, title: str, columns: Sequence[Column]) -> None:
        self.sheet = book.create_sheet(title)
        self.columns = tuple(columns)
        self.rows = 0
        self.sheet.freeze_panes = "A2"
        print_wide(self.sheet)
        self.sheet.row_dimensions[1].height = LINE_HEIGHT * max(
            lines_of(column.heading, column.width) for column in columns
        )
        for at, column in enumerate(columns, start=1):
            self.sheet.column_dimensions[get_column_letter(at)].width = column.width
        self.sheet.append([self._heading(column) for column in columns])
        self._typed = [self._typist(column.kind) for column in columns]

    @property
    def area(self) -> Area:
        """Where the rows written so far lie (at least one row, so that a range is never turned round)."""
        return Area(
            self.sheet.title, tuple(column.heading for column in self.columns), 2, max(self.rows, 1) + 1
        )

    def add(self, row: Sequence[Any]) -> None:
        self.sheet.append(
            [
                None if value is None or value == "" else make(value)
                for make, value in zip(self._typed, row, strict=True)
            ]
        )
        self.rows += 1

    def add_all(self, rows: Iterable[Sequence[Any]]) -> Area:
        """Write every row, the sums under the summed columns, and the filter over the headings."""
        for row in rows:
            self.add(row)
        return self.finish()

    def finish(self) -> Area:
        area = self.area
        if not self.rows:
            self.sheet.append(["Nothing in these months."])
        self.sheet.append([])
        letters = (get_column_letter(at) for at in range(1, len(self.columns) + 1))
        sums: list[Any] = [
            self.styled(Formula(sum_of(letter, area.first, area.last)), column.kind, bold=True)
            if column.summed
            else None
            for letter, column in zip(letters, self.columns, strict=True)
        ]
        if sums[0] is None:
            sums[0] = self.styled("Total", bold=True)
        self.sheet.append(sums)
        self.sheet.auto_filter.ref = f"A1:{get_column_letter(len(self.columns))}{area.last}"
        return area

    def note(self, *values: Any, kinds: Sequence[Kind] = (), bold: bool = False) -> None:
        """A row outside the table, below its sums."""
        padded = [*kinds, *([Kind.TEXT] * (len(values) - len(kinds)))]
        self.sheet.append(
            [self.styled(value, kind, bold=bold) for value, kind in zip(values, padded, strict=True)]
        )

    def styled(self, value: Any, kind: Kind = Kind.TEXT, *, bold: bool = False) -> Cell | None:
        """A cell of its own with a format; a :class:`Formula` is computed, all other text stays text."""
        if value is None or value == "":
            return None
        if isinstance(value, Formula):
            cell = WriteOnlyCell(self.sheet, str(value))
        elif isinstance(value, str):
            cell = text_cell(self.sheet, value)
        else:
            cell = WriteOnlyCell(self.sheet, plain(value, kind))
        cell.number_format = FORMATS.get(kind, "General")
        cell.font = Font(bold=bold)
        return cell

    def _heading(self, column: Column) -> Cell:
        cell = text_cell(self.sheet, column.heading)
        cell.font = Font(bold=True)
        cell.fill = _HEAD_FILL
        cell.alignment = Alignment(
            wrap_text=True,
            vertical="top",
            horizontal="right" if column.kind in (Kind.MONEY, Kind.HOURS, Kind.NUMBER) else "left",
        )
        return cell

    def _typist(self, kind: Kind) -> Callable[[Any], Any]:
        """A function from a value to what ``append`` takes. One cell is reused for a column, as openpyxl writes
        each row before the next one is made; building a styled cell anew would double the time."""
        if kind is Kind.TEXT:
            return self._text
        cell = WriteOnlyCell(self.sheet)
        cell.number_format = FORMATS[kind]

        def make(value: Any) -> Cell:
            if isinstance(value, Formula):
                return self.styled(value, kind)
            cell.value = plain(value, kind)
            return cell

        return make

    def _text(self, value: str) -> Any:
        if isinstance(value, Formula):
            return self.styled(value)
        if value[0] in _RISKY or not value.isprintable() or len(value) > LONGEST_CELL:
            return text_cell(self.sheet, value)
        return value


def print_wide(sheet: Any) -> None:
    """Landscape, as wide as the paper and as many pages long as it takes."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def lines_of(text: str, width: int) -> int:
    """How many lines wrapped text takes: programs that open the file do not grow a row by themselves."""
    return len(wrap(text, max(width - 2, 4)))


def text_cell(sheet: Any, value: str) -> Cell:
    """A cell that holds text whatever it begins with, and says so to the spreadsheet program (quotePrefix)."""
    clean = ILLEGAL_CHARACTERS_RE.sub("", value)[:LONGEST_CELL]
    cell = WriteOnlyCell(sheet, clean)
    cell.data_type = "s"
    if clean[:1] in _RISKY:
        cell.quotePrefix = True
    return cell


def plain(value: Any, kind: Kind) -> Any:
    """The exact number a spreadsheet holds for a value: cents as decimals, tenths as decimals, days as serials."""
    if isinstance(value, Money):
        return _cents(value.minor)
    if isinstance(value, date):
        return _serial(value)
    return Decimal(value).scaleb(-1) if kind is Kind.HOURS else value


def _cents(minor: int) -> Decimal:
    return Decimal(minor).scaleb(-2)


@cache
def _serial(day: date) -> Any:
    return to_excel(day)
