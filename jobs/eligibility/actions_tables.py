import csv
from datetime import date
from pathlib import Path

from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.money import Money, parse_money
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record
from jobs.eligibility.models import GuidelineTable
from jobs.eligibility.rules import GUIDELINE, SIZES
from jobs.households.rules import AREAS

AMOUNTS = [*(f"size_{size}" for size in range(1, SIZES + 1)), "each_more"]
LONGEST = 60
COLUMNS = ["year", "area", *AMOUNTS, "in_use_from", "source"]


@transaction.atomic
def load_guidelines(*, by: Person | None, csv_file: Path) -> int:
    """Add the income tables of a CSV file (columns: COLUMNS, dollars a year); returns how many were new.

    A further column ``line`` names another line than the poverty guideline, such as an area median income; its
    areas are named freely (``all`` serves every household), those of the guideline are AREAS.

    Loading a file again adds nothing. A table in use is never rewritten: other figures for the same area and day
    are refused, and a correction comes with a later day. Refuses a row with what is wrong in it, by line number,
    and then loads nothing. ``by`` is None only when a new book is prepared.
    """
    if by is not None:
        require(by, "rules.change")
    try:
        tables = _tables_of(csv_file)
    except UnicodeDecodeError as error:
        raise BadInput(
            "The file is not text in UTF-8. Save the table as CSV (UTF-8) and bring it again."
        ) from error
    present = {(row.line, row.area, row.in_use_from): row for row in GuidelineTable.objects.all()}
    new = [table for table in tables if not _known(table, present)]
    for table in new:
        table.save(force_insert=True)
        text = f"Income table {table} put in use from {table.in_use_from}. {table.source}"
        record(by=by, action="guideline.load", subject=f"{table.year} {table.area}"[:60], text=text)
    return len(new)


def _tables_of(csv_file: Path) -> list[GuidelineTable]:
    with open(csv_file, newline="", encoding="utf-8-sig") as file:
        reader = csv.DictReader(file)
        missing = [name for name in COLUMNS if name not in (reader.fieldnames or [])]
        if missing:
            raise BadInput(f"The file of income tables lacks the columns: {', '.join(missing)}.")
        return [_read(row, line) for line, row in enumerate(reader, start=2)]


def _read(row: dict[str, str], line: int) -> GuidelineTable:
    try:
        year, in_use_from = int(row["year"]), date.fromisoformat(row["in_use_from"])
        amounts = {name: parse_money(row[name]) for name in AMOUNTS}
    except (ValueError, TypeError, AttributeError, BadInput) as error:
        raise BadInput(
            f"Line {line} of the income tables cannot be read: {error} "
            "It needs a year, an area, amounts and a day like 2026-01-13."
        ) from error
    steps = [amounts[name] for name in AMOUNTS[:SIZES]]
    name, area = (row.get("line") or GUIDELINE).strip(), (row["area"] or "").strip()
    if (name == GUIDELINE and area not in AREAS) or not area or max(len(area), len(name)) > LONGEST:
        raise BadInput(
            f"Line {line} of the income tables: the area of the poverty guideline is one of {', '.join(AREAS)}; "
            f"other lines and their areas have a name of at most {LONGEST} letters."
        )
    if steps != sorted(steps) or min(*steps, amounts["each_more"]) <= Money.zero:
        raise BadInput(f"Line {line} of the income tables: the amounts rise with the size and none is zero.")
    if not (row["source"] or "").strip():
        raise BadInput(f"Line {line} of the income tables has no source. Name the publication and its day.")
    return GuidelineTable(
        year=year, line=name, area=area, in_use_from=in_use_from, source=row["source"].strip(), **amounts
    )


def _known(table: GuidelineTable, present: dict[tuple[str, str, date], GuidelineTable]) -> bool:
    other = present.get((table.line, table.area, table.in_use_from))
    if other is None:
        return False
    if other.table != table.table:
        raise AlreadyDone(
            f"Another table for {table.area_words} is already in use from {table.in_use_from}. A table in use is "
            "never rewritten; give the corrected one a later day."
        )
    return True
