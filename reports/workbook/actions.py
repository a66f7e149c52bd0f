import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from django.db import transaction
from openpyxl import Workbook

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.models import Purpose
from fund.ledger.queries import balances
from fund.ledger.rules import Pots
from fund.rulebook.queries import rules_on
from fund.trail.actions import record
from reports.workbook import queries
from reports.workbook.queries_jobs import hour_rows, repair_rows
from reports.workbook.rules import Span, site_of, span_of
from reports.workbook.sheet_notes import write_notes
from reports.workbook.sheets_books import (
    DAY_BEFORE,
    LEDGER,
    PURPOSES,
    TRIAL,
    write_ledger,
    write_purposes,
    write_trial,
)
from reports.workbook.sheets_rooms import (
    GIFTS,
    HOURS,
    RECEIPTS,
    REPAIRS,
    write_gifts,
    write_hours,
    write_receipts,
    write_repairs,
)
from reports.workbook.writer import SheetWriter


@dataclass(frozen=True)
class Written:
    """What a workbook holds: the months, how many ledger lines, and the last entry of the books then."""

    span: Span
    lines: int
    last_entry: int


@dataclass(frozen=True)
class Base:
    """Where the books stood when the workbook was begun; later entries are left out of it."""

    last_entry: int
    before: Pots
    after: Pots


def workbook(*, by: Person, start: str, end: str, path: str | Path, site: str = "") -> Written:
    """Write the accountant's workbook of whole months (``YYYY-MM``, both in it) to ``path``.

    Every total is a live formula; what people typed is text and never a formula. Refuses months that are none
    and an end before the start; a file is there whole or not at all. Memory stays flat whatever the number of lines.
    ``site`` is the address of the program, such as ``https://books.example.org``: with it the photos' codes are links.
    """
    require(by, "books.export")
    span = span_of(start, end)
    with beside(Path(path)) as file:
        written = _write(file, by, span, site_of(site))
    text = (
        f"Workbook of {span.words} taken out: {written.lines} ledger lines up to entry {written.last_entry}."
    )
    record(by=by, action="books.export", subject=span.words, text=text)
    return written


@contextmanager
def beside(path: Path) -> Iterator[IO[bytes]]:
    """A file in the same folder that takes the place of ``path`` only when it is whole."""
    with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".part", delete=False) as file:
        try:
            yield file
        except BaseException:
            Path(file.name).unlink()
            raise
    Path(file.name).chmod(0o640)
    Path(file.name).replace(path)


def _write(file: IO[bytes], by: Person, span: Span, site: str) -> Written:
    with transaction.atomic():
        base = Base(queries.last_entry(), balances(span.start - DAY_BEFORE), balances(span.end))
    book = Workbook(write_only=True)
    book.properties.title = f"Books {span.words}"
    book.properties.creator = "Mendbook"
    notes = book.create_sheet("Notes")
    trial = SheetWriter(book, "Trial balance", TRIAL)
    ledger = write_ledger(
        SheetWriter(book, "General ledger", LEDGER), queries.ledger_rows(span, base.last_entry)
    )
    trial_area = write_trial(
        trial, queries.accounts_of(base.before, base.after), base.before, base.after, ledger
    )
    write_gifts(SheetWriter(book, "Gifts", GIFTS), queries.gift_rows(span, base.last_entry), ledger)
    write_receipts(SheetWriter(book, "Receipts", RECEIPTS), queries.receipt_rows(span, base.last_entry), site)
    repairs = write_repairs(SheetWriter(book, "Repairs", REPAIRS), repair_rows(span, base.last_entry))
    write_hours(SheetWriter(book, "Hours", HOURS), hour_rows(span))
    purposes = write_purposes(
        SheetWriter(book, "Purposes", PURPOSES), list(Purpose.objects.all()), base.before, base.after, ledger
    )
    write_notes(
        notes, rules=rules_on(span.end), span=span, by=by.label, at=clock.now(), last_entry=base.last_entry,
        ledger=ledger, trial=trial_area, repairs=repairs, purposes=purposes,
    )  # fmt: skip
    book.save(file)
    return Written(span, queries.line_count(span, base.last_entry), base.last_entry)
