"""Columns of the sheets of the rooms: gifts, receipts, repairs against their estimates, donated hours."""

from collections.abc import Iterable
from typing import Any

from django.urls import reverse

from reports.workbook.rules import Area, Column, Kind, agrees, link_to
from reports.workbook.writer import Formula, SheetWriter

GIFTS = (
    Column("Gift", Kind.TEXT, 11),
    Column("Date", Kind.DAY, 12),
    Column("Posting date", Kind.DAY, 12),
    Column("Kind", Kind.TEXT, 16),
    Column("Supporter", Kind.TEXT, 11),
    Column("Name", Kind.TEXT, 26),
    Column("Purpose", Kind.TEXT, 16),
    Column("Gross", Kind.MONEY, 13, summed=True),
    Column("Platform fee", Kind.MONEY, 12, summed=True),
    Column("Processing fee", Kind.MONEY, 12, summed=True),
    Column("Went back", Kind.MONEY, 12, summed=True),
    Column("Platform", Kind.TEXT, 18),
    Column("Platform's own number", Kind.TEXT, 22),
    Column("Entry no.", Kind.NUMBER, 9),
)
RECEIPTS = (
    Column("Receipt", Kind.TEXT, 11),
    Column("Date", Kind.DAY, 12),
    Column("Posting date", Kind.DAY, 12),
    Column("Store", Kind.TEXT, 24),
    Column("Number on it", Kind.TEXT, 16),
    Column("Paid with", Kind.TEXT, 24),
    Column("Bought by", Kind.TEXT, 18),
    Column("Tax", Kind.MONEY, 11, summed=True),
    Column("Total", Kind.MONEY, 13, summed=True),
    Column("Booked for payment", Kind.MONEY, 13, summed=True),
    Column("State", Kind.TEXT, 12),
    Column("Photo", Kind.TEXT, 10),
    Column("Entry no.", Kind.NUMBER, 9),
    Column("Entered by", Kind.TEXT, 18),
)
REPAIRS = (
    Column("Repair order", Kind.TEXT, 12),
    Column("Alias", Kind.TEXT, 14),
    Column("Vehicle", Kind.TEXT, 16),
    Column("Job", Kind.TEXT, 24),
    Column("Mechanic", Kind.TEXT, 18),
    Column("Checked in", Kind.DAY, 12),
    Column("Approved", Kind.DAY, 12),
    Column("Handed back", Kind.DAY, 12),
    Column("Stopped", Kind.DAY, 12),
    Column("Estimate", Kind.MONEY, 12, summed=True),
    Column("Approved amount", Kind.MONEY, 12, summed=True),
    Column("Tolerance", Kind.MONEY, 11, summed=True),
    Column("Ratified over the limit", Kind.MONEY, 12, summed=True),
    Column("Cost to date", Kind.MONEY, 12, summed=True),
    Column("Cost in these months", Kind.MONEY, 12, summed=True),
    Column("Core deposits out", Kind.MONEY, 12, summed=True),
    Column("Book hours", Kind.HOURS, 9, summed=True),
    Column("Clock hours", Kind.HOURS, 9, summed=True),
    Column("Worth of skilled hours (not cash)", Kind.MONEY, 14, summed=True),
    Column("Over (+) or under (-) the approval", Kind.MONEY, 14),
)
HOURS = (
    Column("Row", Kind.TEXT, 10),
    Column("Day of the work", Kind.DAY, 12),
    Column("Counted on", Kind.DAY, 12),
    Column("Person", Kind.TEXT, 18),
    Column("Repair order", Kind.TEXT, 12),
    Column("Work", Kind.TEXT, 28),
    Column("Skill", Kind.TEXT, 18),
    Column("Hours", Kind.HOURS, 9, summed=True),
    Column("Rate an hour", Kind.MONEY, 11),
    Column("Worth (not cash)", Kind.MONEY, 12, summed=True),
    Column("Entered by", Kind.TEXT, 18),
    Column("Confirmed", Kind.TEXT, 10),
    Column("Takes back", Kind.TEXT, 10),
    Column("Entry no.", Kind.NUMBER, 9),
    Column("Note", Kind.TEXT, 36),
)


def write_gifts(sheet: SheetWriter, rows: Iterable[Any], ledger: Area) -> Area:
    """Gifts one a row, with what went back as rows of its own; the ledger's own sums stand below."""
    area = sheet.add_all(rows)
    accounts, debit, credit = ledger.column("Account"), ledger.column("Debit"), ledger.column("Credit")

    def booked(code: str, plus: str, minus: str) -> str:
        return f'SUMIF({accounts},"{code}",{plus})-SUMIF({accounts},"{code}",{minus})'

    gross = "+".join(booked(code, credit, debit) for code in ("4000", "4010", "4020"))
    note = (None,) * 6
    kinds = (*(Kind.TEXT,) * 7, Kind.MONEY, Kind.MONEY, Kind.MONEY, Kind.MONEY)
    sheet.note(
        "In the ledger", *note, Formula(f"={gross}"), None, None, Formula(f"={booked('4900', debit, credit)}"),
        kinds=kinds, bold=True,
    )  # fmt: skip
    sheet.note("A difference is an entry posted by hand, such as a correction or a reversal.")
    return area


def write_repairs(sheet: SheetWriter, rows: Iterable[Any]) -> Area:
    """Cost against what was approved; the last column is a live difference, left empty before an approval."""
    for row in rows:
        at = sheet.rows + 2
        sheet.add((*row, Formula(f'=IF(K{at}="","",ROUND(N{at}-K{at},2))')))
    area = sheet.finish()
    sheet.note("Core deposits come back and donated hours are a gift: neither is in any cost here.")
    return area


def write_receipts(sheet: SheetWriter, rows: Iterable[Any], site: str = "") -> Area:
    """Receipts one a row. With the address of the program each photo's code opens it there, after signing in."""
    photo = RECEIPTS.index(next(column for column in RECEIPTS if column.heading == "Photo"))

    def opens(row: Any) -> Any:
        if not site or not row[photo]:
            return row
        page = site + reverse("attachments:file", args=[row[photo]])
        return (*row[:photo], Formula(link_to(page, row[photo])), *row[photo + 1 :])

    area = sheet.add_all(map(opens, rows))
    sheet.note("A receipt taken back stays here with its state; its opposite entry is in the general ledger.")
    return area


def write_hours(sheet: SheetWriter, rows: Iterable[Any]) -> Area:
    area = sheet.add_all(rows)
    sheet.note("Hours are a gift of time. Their worth is shown beside the money and is never inside it.")
    return area


def repairs_check(repairs: Area, ledger: Area, accounts: tuple[str, ...]) -> Formula:
    """Whether the repairs' cost in these months is what the ledger holds on the repair accounts."""
    parts = [
        f'SUMIF({ledger.column("Account")},"{code}",{ledger.column("Debit")})'
        f'-SUMIF({ledger.column("Account")},"{code}",{ledger.column("Credit")})'
        for code in accounts
    ]
    return Formula(agrees(repairs.total("Cost in these months"), "+".join(parts)))
