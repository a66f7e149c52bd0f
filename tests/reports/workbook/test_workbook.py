"""The accountant's workbook as it is written."""

from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.ledger.actions import post
from fund.ledger.chart import ADMIN, BANK
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import BadInput, NotAllowed
from fund.trail.models import TrailLine
from reports.workbook.actions import workbook
from tests.reports.workbook.month import write_month
from tests.reports.workbook.reading import written

SHEETS = ["Notes", "Trial balance", "General ledger", "Gifts", "Receipts", "Repairs", "Hours", "Purposes"]


@pytest.fixture
def path(tmp_path: Path, treasurer: Person) -> Path:
    write_month(treasurer)
    file = tmp_path / "books.xlsx"
    workbook(by=treasurer, start="2026-03", end="2026-03", path=file)
    return file


def test_it_has_its_sheets_with_frozen_headings_and_filters(path: Path) -> None:
    book = load_workbook(path)
    assert book.sheetnames == SHEETS
    for sheet in book.worksheets[1:]:
        assert sheet.freeze_panes == "A2"
        assert sheet.auto_filter.ref
        assert sheet.auto_filter.ref.startswith("A1:")
        assert all(cell.font.bold for cell in sheet[1])


def test_the_ledger_has_one_row_a_line_with_typed_dates_and_numbers(path: Path) -> None:
    sheet = load_workbook(path)["General ledger"]
    first = [cell.value for cell in sheet[2]]
    assert first[2:8] == [2, "1000", "Bank", 1020.98, None, "General"]
    assert [cell.date() for cell in first[:2]] == [date(2026, 3, 10)] * 2
    assert sheet["A2"].number_format == "yyyy-mm-dd"
    assert sheet["F2"].number_format.startswith("#,##0.00")
    assert sheet["C2"].data_type == "n"
    lines = [row for row in sheet.iter_rows(min_row=2, values_only=True) if isinstance(row[2], int)]
    assert len(lines) == 39


def test_lines_of_other_months_stay_out(path: Path) -> None:
    texts = {row[10] for row in written(path)["General ledger"][1:]}
    assert "Opening" not in texts
    assert "Gifts" in texts


def test_every_total_is_a_live_formula(path: Path) -> None:
    for title, rows in written(path).items():
        totals = [row for row in rows if row and row[0] == "Total"]
        assert title == "Notes" or len(totals) == 1, title
        for row in totals:
            cells = [cell for cell in row[1:] if cell is not None]
            assert cells or title == "Hours", title
            assert all(str(cell).startswith("=SUM(") for cell in cells), (title, cells)


@pytest.mark.parametrize(
    "typed",
    ['=HYPERLINK("http://example.org","x")', "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "#REF!", "=1"],
)
def test_what_people_typed_never_becomes_a_formula(treasurer: Person, tmp_path: Path, typed: str) -> None:
    supporter = add_supporter(by=treasurer, name=f"{typed} Rowe")
    record_gift(
        by=treasurer,
        kind="check",
        received_on=date(2026, 3, 2),
        amount=Money(40_00),
        supporter=supporter,
        check_number="77",
    )
    lines = [dr(ADMIN, Money(5_00), text=typed, party=typed), cr(BANK, Money(5_00))]
    post(by=treasurer, draft=EntryDraft("hand", date(2026, 3, 3), typed, lines, source=typed))
    file = tmp_path / "books.xlsx"
    workbook(by=treasurer, start="2026-03", end="2026-03", path=file)
    book = load_workbook(file)
    found = 0
    for title in ("General ledger", "Gifts"):
        for row in book[title].iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith(typed):
                    found += 1
                    assert cell.data_type == "s", (title, cell.coordinate)
                    assert cell.quotePrefix or typed[0] not in "=+-@#\t"
    assert found >= 4


def test_control_characters_do_not_break_the_file(treasurer: Person, tmp_path: Path) -> None:
    lines = [dr(ADMIN, Money(5_00), text="a\x07b\nc"), cr(BANK, Money(5_00))]
    post(by=treasurer, draft=EntryDraft("hand", date(2026, 3, 3), "x", lines))
    file = tmp_path / "books.xlsx"
    workbook(by=treasurer, start="2026-03", end="2026-03", path=file)
    assert written(file)["General ledger"][1][10] == "ab\nc"


def test_months_without_anything_are_an_empty_book_that_still_opens(
    treasurer: Person, tmp_path: Path
) -> None:
    file = tmp_path / "books.xlsx"
    found = workbook(by=treasurer, start="2026-01", end="2026-02", path=file)
    assert found.lines == 0
    assert written(file)["General ledger"][1][0] == "Nothing in these months."


@pytest.mark.parametrize(("start", "end"), [("2026-3", "2026-03"), ("2026-13", "2026-13"), ("x", "y")])
def test_what_is_no_month_is_refused(treasurer: Person, tmp_path: Path, start: str, end: str) -> None:
    with pytest.raises(BadInput, match="is not a month"):
        workbook(by=treasurer, start=start, end=end, path=tmp_path / "books.xlsx")


def test_an_end_before_the_start_is_refused(treasurer: Person, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="2026-02 comes before 2026-03"):
        workbook(by=treasurer, start="2026-03", end="2026-02", path=tmp_path / "books.xlsx")
    assert not (tmp_path / "books.xlsx").exists()


@pytest.mark.parametrize("who", ["volunteer", "screener"])
def test_only_those_who_may_take_out_the_books(
    who: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(NotAllowed, match="take the books out as a workbook"):
        workbook(by=request.getfixturevalue(who), start="2026-03", end="2026-03", path=tmp_path / "b.xlsx")


def test_the_trail_says_who_took_it_out(path: Path) -> None:
    line = TrailLine.objects.get(action="books.export")
    assert (line.subject, line.text) == (
        "2026-03",
        "Workbook of 2026-03 taken out: 39 ledger lines up to entry 5.",
    )
