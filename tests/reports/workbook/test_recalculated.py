"""What a spreadsheet program computes from the workbook's own formulas."""

from pathlib import Path
from typing import Any

import pytest

from fund.access.models import Person
from reports.workbook.actions import workbook
from tests.reports.workbook.month import write_month
from tests.reports.workbook.reading import recalculated, value_beside

pytestmark = pytest.mark.needs_soffice
Sheets = dict[str, list[list[Any]]]
_kept: list[Sheets] = []


@pytest.fixture
def sheets(tmp_path: Path, treasurer: Person) -> Sheets:
    """Recalculated once for all tests of this file: LibreOffice takes seconds to start."""
    if not _kept:
        write_month(treasurer)
        file = tmp_path / "books.xlsx"
        workbook(by=treasurer, start="2026-03", end="2026-03", path=file)
        _kept.append(recalculated(file, tmp_path))
    return _kept[0]


def test_debits_equal_credits_and_the_month_closes_at_5753_06(sheets: Sheets) -> None:
    """The invented month: opening net assets 4,563.15, closing bank 5,407.49, petty cash 100.00, shelf 245.57."""
    ledger, trial = sheets["General ledger"], sheets["Trial balance"]
    total = next(row for row in ledger if row[0] == "Total")
    assert total[5] == total[6] > 0
    assert value_beside(ledger, "Debits = credits") == "agrees"
    assert value_beside(trial, "Net assets at the start") == 4563.15
    assert value_beside(trial, "Net assets at the end") == 5753.06
    closing = {row[0]: row[6] for row in trial}
    assert {code: round(closing[code], 2) for code in ("1000", "1020", "1110", "1200", "2010")} == {
        "1000": 5407.49, "1020": 100.0, "1110": 0, "1200": 245.57, "2010": 0,
    }  # fmt: skip


def test_every_check_on_the_first_sheet_agrees(sheets: Sheets) -> None:
    notes = sheets["Notes"]
    start = next(at for at, row in enumerate(notes) if row[0] == "Does it tie?")
    words = {row[0]: row[1] for row in notes[start + 1 : start + 10]}
    assert len(words) == 9
    amounts = {
        label: value
        for label, value in words.items()
        if "net assets at the" in label and "closing" not in label
    }
    assert sorted(amounts.values()) == [4563.15, 5753.06]
    for label in set(words) - set(amounts):
        if not label.startswith("Repairs"):  # these entries name no repair orders
            assert words[label] == "agrees", label


def test_purposes_roll_forward(sheets: Sheets) -> None:
    """Tires 300.00 + 150.00 - 325.42 released = 124.58; general closes at 5,628.48."""
    rows = {
        row[0]: [cell if cell is None or isinstance(cell, str) else round(cell, 2) for cell in row]
        for row in sheets["Purposes"]
    }
    assert rows["Tires"][3:10] == [300, 150, 0, -325.42, 124.58, 124.58, 0]
    assert rows["General"][3:10] == [4263.15, 2376, 1336.09, 325.42, 5628.48, 5628.48, 0]


def test_no_cell_is_an_error(sheets: Sheets) -> None:
    for title, rows in sheets.items():
        for row in rows:
            for cell in row:
                assert not (isinstance(cell, str) and cell.startswith(("#", "Err:"))), (title, row)
