"""The workbook of 100,000 ledger lines, against bare openpyxl write-only on the same cells.

The bare side has its values ready in memory and writes the ledger's cells one by one, with the same formats. Ours
reads the database and writes every sheet. Memory is the peak of a whole process for 10,000 and for 100,000 lines.
"""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

FEW, MANY, ROUNDS, BUDGET, GROWTH = 10_000, 100_000, 2, 0.7, 1.15
JANUARY, FEBRUARY = date(2026, 1, 15), date(2026, 2, 15)


def main() -> int:
    scratch = Path(tempfile.mkdtemp(prefix="mendbook-workbook-"))
    set_up(scratch)
    prepare()
    ours, bare, plain = [], [], []
    rows = ledger_values()
    for _ in range(ROUNDS):
        ours.append(timed(lambda: write("2026-01", "2026-02", scratch / "ours.xlsx")))
        bare.append(timed(lambda: write_bare(rows, scratch / "bare.xlsx", formats=True)))
        plain.append(timed(lambda: write_bare(rows, scratch / "plain.xlsx", formats=False)))
    few, many = peak(scratch, "2026-01"), peak(scratch, "2026-02")
    shutil.rmtree(scratch)
    rate, growth = min(bare) / min(ours), many / few
    print(
        f"workbook {min(ours):.1f} s, same cells bare {min(bare):.1f} s, bare and unformatted {min(plain):.1f} s"
    )
    print(f"workbook of {len(rows):,} lines: row rate {rate:.2f} of bare openpyxl, budget at least {BUDGET}")
    print(f"against bare openpyxl without number formats: {min(plain) / min(ours):.2f} (for information)")
    print(
        f"peak memory {few} MB for {FEW:,} lines, {many} MB for {MANY:,}: ratio {growth:.2f}, budget {GROWTH}"
    )
    return 0 if rate >= BUDGET and growth <= GROWTH else 1


def set_up(scratch: Path) -> None:
    os.environ["DATABASE_URL"] = f"sqlite:///{scratch / 'work.sqlite3'}"
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()


def prepare() -> None:
    from django.contrib.auth.models import Group
    from django.core.management import call_command

    from fund.access.models import Person
    from fund.ledger.actions import post_many
    from fund.ledger.rules import EntryDraft, cr, dr
    from fund.money import Money
    from fund.setup import load_basics

    call_command("migrate", verbosity=0)
    load_basics()
    odell = Person.objects.create_user("odell", first_name="Odell", last_name="Price")
    odell.groups.add(Group.objects.get(name="treasurer"))
    for on, count in ((JANUARY, FEW), (FEBRUARY, MANY - FEW)):
        for start in range(0, count // 2, 5_000):
            post_many(
                by=odell,
                drafts=[
                    EntryDraft(
                        "gift", on, f"Gift {n} of a supporter, by card",
                        [dr("1031", Money(500 + n % 977), party=f"S-{n % 90:04}"), cr("4000", Money(500 + n % 977))],
                        source=f"ch_{n:08}",
                    )
                    for n in range(start, min(start + 5_000, count // 2))
                ],
            )  # fmt: skip


def write(start: str, end: str, path: Path) -> None:
    from fund.access.models import Person
    from reports.workbook.actions import workbook

    workbook(by=Person.objects.get(username="odell"), start=start, end=end, path=path)


def ledger_values() -> list[list[Any]]:
    from fund.money import Money
    from reports.workbook.queries import last_entry, ledger_rows
    from reports.workbook.rules import span_of

    rows = ledger_rows(span_of("2026-01", "2026-02"), last_entry())
    return [
        [
            Decimal(cell.minor).scaleb(-2) if isinstance(cell, Money) else None if cell == "" else cell
            for cell in row
        ]
        for row in rows
    ]


def write_bare(rows: list[list[Any]], path: Path, *, formats: bool) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet("General ledger")
    for row in rows:
        if not formats:
            sheet.append(row)
            continue
        cells = []
        for value in row:
            if isinstance(value, date | Decimal):
                cell = WriteOnlyCell(sheet, value)
                cell.number_format = "yyyy-mm-dd" if isinstance(value, date) else "#,##0.00;[Red]-#,##0.00"
                cells.append(cell)
            else:
                cells.append(value)
        sheet.append(cells)
    book.save(path)


def timed(work: Any) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def peak(scratch: Path, end: str) -> int:
    """Peak memory (MB) of a process that does nothing but write the workbook from January to ``end``."""
    command = [sys.executable, "-m", "tests.bench.workbook", "measure", str(scratch), end]
    return int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def measure(scratch: Path, end: str) -> int:
    set_up(scratch)
    write("2026-01", end, scratch / "measured.xlsx")
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
    return 0


if __name__ == "__main__":
    sys.exit(measure(Path(sys.argv[2]), sys.argv[3]) if sys.argv[1:2] == ["measure"] else main())
