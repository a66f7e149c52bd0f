"""The figures of one month on a ledger of 100,000 lines and on one of 1,000,000: the cost must follow the month.

Both ledgers hold the same March 2026 of 1,000 lines, after 99 or 999 months like it, each closed with its frozen
balances, with gifts, repairs that cost money, and promises that were spent. Rows are written raw, guards taken off,
into scratch SQLite files without statistics, as the program leaves them; the figures are computed as on the page.
"""

import os
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

MONTH, MONTHS, ROUNDS, BUDGET = "2026-03", (100, 1000), 25, 1.5
GIFTS, REPAIRS, PARTS = 400, 10, 10  # a month: 400 gifts and 10 repairs of 10 purchases, two lines each
SCRATCH = Path(tempfile.mkdtemp(prefix="mendbook-month-"))
os.environ["DATABASE_URL"] = f"sqlite:///{SCRATCH / 'work.sqlite3'}"
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"


def main() -> int:
    import django

    django.setup()
    prepare()
    paths = [fill(months) for months in MONTHS]
    figures = [switch_and_read(path) for path in paths]
    assert figures[0].ledger.money_in == figures[1].ledger.money_in, "both ledgers must hold the same month"
    assert len(figures[0].repairs) == len(figures[1].repairs) == REPAIRS
    small, large = measure(paths)
    ratio = statistics.median(large) / statistics.median(small)
    lines = (GIFTS + REPAIRS * PARTS) * 2
    for months, times in zip(MONTHS, (small, large), strict=True):
        middle = statistics.median(times) * 1000
        print(
            f"{months * lines:>9,} lines: {middle:.1f} ms (median of {ROUNDS}, best {min(times) * 1000:.1f})"
        )
    print(f"month figures, ledger ten times the size: ratio {ratio:.2f}, budget {BUDGET}")
    shutil.rmtree(SCRATCH)
    return 0 if ratio <= BUDGET else 1


def prepare() -> None:
    from django.core.management import call_command
    from django.db import connection

    import fund.setup
    import jobs.setup
    from fund.access.models import Person

    call_command("migrate", verbosity=0)
    fund.setup.load_basics()
    jobs.setup.load_basics()
    Person.objects.create_user("odell")
    connection.close()
    # Closed at the end, so that nothing is left in the write-ahead log when the file is copied.
    with closing(sqlite3.connect(SCRATCH / "work.sqlite3")) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f"DROP TRIGGER {name}")


def fill(months: int) -> Path:
    """A copy of the empty book with this many months in it, the last one open."""
    from fund.commitments.models import CommitmentMove
    from fund.gifts.models import Gift
    from fund.ledger.models import CostObject, Entry, Line, Month, MonthBalance

    path = SCRATCH / f"{months}.sqlite3"
    shutil.copy(SCRATCH / "work.sqlite3", path)
    keys = list(back_from(MONTH, months))[::-1]
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA synchronous = OFF")
        person = db.execute("SELECT id FROM fund_person").fetchone()[0]
        book = Book(keys, person)
        for model, rows in (
            (Month, book.closed()),
            (MonthBalance, book.balances()),
            (CostObject, book.cost_objects()),
            (Entry, book.entries()),
            (Line, book.lines()),
            (Gift, book.gifts()),
            (CommitmentMove, book.moves()),
        ):
            insert(db, model, rows)
        db.commit()
    return path


def back_from(last: str, many: int) -> Iterator[str]:
    year, month = map(int, last.split("-"))
    for _ in range(many):
        yield f"{year:04}-{month:02}"
        year, month = (year, month - 1) if month > 1 else (year - 1, 12)


def insert(db: sqlite3.Connection, model: Any, rows: Iterator[dict[str, Any]]) -> None:
    first = next(rows)
    names = ", ".join(f'"{name}"' for name in first)
    marks = ", ".join("?" for _ in first)
    sql = f"INSERT INTO {model._meta.db_table} ({names}) VALUES ({marks})"
    db.execute(sql, tuple(first.values()))
    db.executemany(sql, (tuple(row.values()) for row in rows))


class Book:
    """The rows of a ledger whose every month is alike. A gift is 10.00 and a part 8.00."""

    def __init__(self, keys: list[str], person: int) -> None:
        self.keys, self.person = keys, person
        self.each = GIFTS + REPAIRS * PARTS

    def closed(self) -> Iterator[dict[str, Any]]:
        for key in self.keys[:-1]:
            yield {"key": key, "closed_at": "2026-01-01 00:00:00", "closed_by_id": self.person}

    def balances(self) -> Iterator[dict[str, Any]]:
        gifts, parts = GIFTS * 1000, REPAIRS * PARTS * 800
        for place, key in enumerate(self.keys[:-1]):
            for account, debit, credit in (("1000", gifts, parts), ("4000", 0, gifts), ("5000", parts, 0)):
                move = debit - credit
                yield {
                    "month_id": key, "account_id": account, "purpose_id": "general", "opening": move * place,
                    "debit": debit, "credit": credit, "closing": move * (place + 1),
                }  # fmt: skip

    def cost_objects(self) -> Iterator[dict[str, Any]]:
        for key in self.keys:
            for repair in range(REPAIRS):
                yield {"code": f"RO-{key}-{repair}", "label": "Alder"}

    def numbered(self) -> Iterator[tuple[int, str, int]]:
        """(entry number, month, place in the month)."""
        for months_before, key in enumerate(self.keys):
            for place in range(self.each):
                yield months_before * self.each + place + 1, key, place

    def entries(self) -> Iterator[dict[str, Any]]:
        for number, key, place in self.numbered():
            day = f"{key}-{place % 28 + 1:02}"
            yield {
                "number": number, "kind": "gift", "document_date": day, "posting_date": day, "month": key,
                "text": "Gift", "source": "", "by_id": self.person, "reverses_id": None, "later_change": 0,
                "created_at": f"{day} 12:00:00", "prev_digest": "", "digest": f"{number:064}",
            }  # fmt: skip

    def lines(self) -> Iterator[dict[str, Any]]:
        for number, key, place in self.numbered():
            day = f"{key}-{place % 28 + 1:02}"
            spent = place - GIFTS
            repair = f"RO-{key}-{spent // PARTS}" if spent >= 0 else None
            sides = (
                (("5000", 800, repair), ("1000", -800, None))
                if repair
                else (("1000", 1000, None), ("4000", -1000, None))
            )
            for ordinal, (account, amount, cost_object) in enumerate(sides, start=1):
                yield {
                    "entry_id": number, "ordinal": ordinal, "account_id": account, "purpose_id": "general",
                    "cost_object_id": cost_object, "amount": amount, "document_date": day, "posting_date": day,
                    "month": key, "party": "", "text": "",
                }  # fmt: skip

    def gifts(self) -> Iterator[dict[str, Any]]:
        from fund.gifts.models import Gift

        blank: dict[str, Any] = {
            str(field.column): ""
            for field in Gift._meta.concrete_fields
            if not field.null and not field.primary_key
        }
        for number, key, place in self.numbered():
            if place < GIFTS:
                row = {
                    "code": f"G-{number}", "received_on": f"{key}-{place % 28 + 1:02}", "amount": 1000, "kind": "cash",
                    "purpose_id": "general", "platform_fee": 0, "processing_fee": 0, "entry_id": number,
                }  # fmt: skip
                yield {**blank, **row}

    def moves(self) -> Iterator[dict[str, Any]]:
        for key in self.keys:
            for repair in range(REPAIRS):
                for kind, amount, cost in (("promise", 8000, 0), ("spend", -8000, 8000)):
                    yield {
                        "cost_object_id": f"RO-{key}-{repair}", "purpose_id": "general", "kind": kind, "amount": amount,
                        "cost": cost, "tolerance": 0, "on": f"{key}-10", "entry_id": None, "by_id": self.person,
                        "reason": "",
                    }  # fmt: skip


def switch_and_read(path: Path) -> Any:
    from django.db import connection

    from reports.month.queries import figures_of

    if connection.settings_dict["NAME"] != str(path):
        connection.close()
        connection.settings_dict["NAME"] = str(path)
    return figures_of(MONTH)


def measure(paths: list[Path]) -> tuple[list[float], list[float]]:
    """Times of both ledgers, taken in turn so that a busy machine troubles both alike."""
    from fund import clock

    times: tuple[list[float], list[float]] = ([], [])
    with clock.at(date(2026, 4, 3)):
        for _ in range(ROUNDS):
            for kept, path in zip(times, paths, strict=True):
                switch_and_read(path)
                start = time.perf_counter()
                switch_and_read(path)
                kept.append(time.perf_counter() - start)
    return times


if __name__ == "__main__":
    sys.exit(main())
