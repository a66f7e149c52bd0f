"""The first sheet: whose books these are, whether they tie, and how to read the other sheets."""

from datetime import datetime
from typing import Any

from django.utils import timezone
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Font

from fund.ledger.chart import REPAIR_COST
from reports.workbook.rules import FORMATS, Area, Kind, Span, agrees
from reports.workbook.sheets_books import trial_checks
from reports.workbook.sheets_rooms import repairs_check
from reports.workbook.writer import LINE_HEIGHT, Formula, lines_of, print_wide, text_cell

WIDE = 100  # characters
HOW_TO_READ = (
    "General ledger: one row for each line of each entry. Nothing in it is ever edited; a mistake is taken back by "
    "an entry that names the one it reverses.",
    "Posting date is the month a line counts in. Document date is the day on the paper. They differ when a fact "
    "came after its month was closed; such an entry is marked as a later change.",
    "Trial balance: opening from the closed months before; debits and credits summed from the ledger sheet; the "
    "closing beside the books' own closing.",
    "Opening and closing are signed: debit is plus, credit is minus. A fund whose net assets grow has more credits.",
    "Purposes: what givers restricted, rolled forward. A cost is always booked in the general purpose, and the "
    "restriction that was met is moved there beside it (ASU 2016-14).",
    "Gifts are booked gross, with the fees beside them. What went back is a row of its own.",
    "Core deposits are not costs. They are money a store holds (account 1110) and are in no repair's cost.",
    "Hours are not cash. Skilled hours carry what they would have cost, at the dated rate in their row. They are in "
    "the books (5050 and 4030, always equal) only if the fund's rules say so; the accountant decides (ASC 958-605).",
    "Repairs and households carry an alias. Names, papers and incomes of households are not in this workbook.",
    "Amounts are exact cents. Every total is a formula, so it follows what you change.",
    "Whether and how any of this is reported for tax is for the accountant to decide.",
)


def write_notes(
    sheet: Any,
    *,
    rules: dict[str, Any],
    span: Span,
    by: str,
    at: datetime,
    last_entry: int,
    ledger: Area,
    trial: Area,
    repairs: Area,
    purposes: Area,
) -> None:
    print_wide(sheet)
    sheet.column_dimensions["A"].width = 48
    sheet.column_dimensions["B"].width = WIDE
    made = timezone.localtime(at)
    rows: list[tuple[str, Any]] = [
        ("Fund", rules["fund_name"]),
        ("Months", span.words),
        ("Made", f"{made:%Y-%m-%d %H:%M}, by {by}"),
        ("Books as of entry", last_entry),
    ]
    title = text_cell(sheet, f"{rules['fund_name']}: books of {span.words}")
    title.font = Font(bold=True, size=14)
    sheet.append([title])
    sheet.append([])
    for label, value in rows:
        sheet.append([text_cell(sheet, label), _left(sheet, value)])
    sheet.append([])
    sheet.append([_bold(sheet, "Does it tie?")])
    for label, formula in checks(ledger, trial, repairs, purposes):
        sheet.append([text_cell(sheet, label), _left(sheet, formula)])
    sheet.append([])
    sheet.append([_bold(sheet, "How to read it")])
    row = 2 + len(rows) + 2 + len(checks(ledger, trial, repairs, purposes)) + 2
    for sentence in HOW_TO_READ:
        row += 1
        sheet.row_dimensions[row].height = LINE_HEIGHT * lines_of(sentence, WIDE)
        cell = text_cell(sheet, sentence)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.append([None, cell])


def checks(ledger: Area, trial: Area, repairs: Area, purposes: Area) -> list[tuple[str, Formula]]:
    """The live checks of the whole workbook."""
    net = trial_checks(trial)[-1][1][1:]
    return [
        ("General ledger: debits = credits", Formula(agrees(ledger.total("Debit"), ledger.total("Credit")))),
        *(
            (f"Trial balance: {words[0].lower()}{words[1:]}", formula)
            for words, formula in trial_checks(trial)
        ),
        ("Purposes: closing = net assets at the end", Formula(agrees(purposes.total("Closing"), net))),
        (
            "Purposes: every closing agrees with the books",
            Formula(agrees(f"SUMPRODUCT(ABS({purposes.column('Difference')}))", "0")),
        ),
        ("Repairs: cost in these months = general ledger", repairs_check(repairs, ledger, REPAIR_COST)),
    ]


def _bold(sheet: Any, text: str) -> Cell:
    cell = text_cell(sheet, text)
    cell.font = Font(bold=True)
    return cell


def _left(sheet: Any, value: Any) -> Cell:
    if isinstance(value, Formula) or not isinstance(value, str):
        cell = WriteOnlyCell(sheet, str(value) if isinstance(value, Formula) else value)
        if isinstance(value, Formula) and "agrees" not in value:
            cell.number_format = FORMATS[Kind.MONEY]
    else:
        cell = text_cell(sheet, value)
    cell.alignment = Alignment(horizontal="left")
    return cell
