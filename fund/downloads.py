"""Tables as files. Numbers stay numbers; what a person typed can never become a formula in a spreadsheet program."""

import csv
import tempfile
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.http import FileResponse, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from fund.money import Money

XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MONEY_FORMAT = "#,##0.00;[Red]-#,##0.00"
DAY_FORMAT = "yyyy-mm-dd"
MOMENT_FORMAT = "yyyy-mm-dd hh:mm"
# Leading characters a spreadsheet program takes for a formula or a field break (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
LONGEST_CELL = 32_767  # characters; Excel's published limit for one cell


def plain_text(text: str) -> str:
    """Text for one CSV cell; an apostrophe goes before what could be read as a formula."""
    text = ILLEGAL_CHARACTERS_RE.sub("", text)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def decimal_of(amount: Money) -> Decimal:
    """The amount as an exact decimal of major units, for files that hold numbers."""
    return Decimal(amount.minor).scaleb(-2)


def csv_value(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Money):
        return str(decimal_of(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return timezone.localtime(value).isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | Decimal):
        return str(value)
    return plain_text(str(value))


def sheet_cell(sheet: WriteOnlyWorksheet, value: Any) -> WriteOnlyCell:
    """One typed cell of a write-only sheet: money and days with a format, text always as text."""
    if isinstance(value, Money):
        cell = WriteOnlyCell(sheet, decimal_of(value))
        cell.number_format = MONEY_FORMAT
    elif isinstance(value, datetime):
        cell = WriteOnlyCell(
            sheet, timezone.localtime(value).replace(tzinfo=None) if timezone.is_aware(value) else value
        )
        cell.number_format = MOMENT_FORMAT
    elif isinstance(value, date):
        cell = WriteOnlyCell(sheet, value)
        cell.number_format = DAY_FORMAT
    elif value is None or (isinstance(value, int | Decimal) and not isinstance(value, bool)):
        cell = WriteOnlyCell(sheet, value)
    else:
        words = ("yes" if value else "no") if isinstance(value, bool) else str(value)
        cell = WriteOnlyCell(sheet, ILLEGAL_CHARACTERS_RE.sub("", words)[:LONGEST_CELL])
        cell.data_type = "s"  # openpyxl would make a formula of text that starts with "="
    return cell


class _Echo:
    """What csv.writer writes to: it hands each line straight back."""

    def write(self, line: str) -> str:
        return line


def csv_response(filename: str, header: list[str], rows: Iterable[list[Any]]) -> HttpResponseBase:
    """A CSV file streamed row by row (UTF-8 with the mark that spreadsheet programs look for)."""

    def lines() -> Iterator[str]:
        writer = csv.writer(_Echo())
        yield "\ufeff" + writer.writerow([plain_text(name) for name in header])
        for row in rows:
            yield writer.writerow([csv_value(value) for value in row])

    response = StreamingHttpResponse(lines(), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{filename}.csv"'
    return response


def xlsx_response(filename: str, header: list[str], rows: Iterable[list[Any]]) -> HttpResponse | FileResponse:
    """An XLSX file of one sheet, header frozen, columns as wide as the first rows need; memory stays flat."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(filename[:31])
    sheet.freeze_panes = "A2"
    source = iter(rows)
    sample = [row for _, row in zip(range(200), source, strict=False)]
    for at, name in enumerate(header):
        longest = max([len(name), *(len(csv_value(row[at])) for row in sample)])
        sheet.column_dimensions[get_column_letter(at + 1)].width = min(max(longest + 3, 9), 60)
    sheet.append([_heading(sheet, name) for name in header])
    for part in (sample, source):
        for row in part:
            sheet.append([sheet_cell(sheet, value) for value in row])
    file = tempfile.TemporaryFile()  # noqa: SIM115  (FileResponse closes it)
    book.save(file)
    file.seek(0)
    return FileResponse(file, as_attachment=True, filename=f"{filename}.xlsx", content_type=XLSX_TYPE)


def _heading(sheet: WriteOnlyWorksheet, name: str) -> WriteOnlyCell:
    cell = sheet_cell(sheet, name)
    cell.font = Font(bold=True)
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    return cell
