"""Importing a statement of 10,000 lines, against reading it with a short script and inserting the same rows with executemany.

Both sides write the same rows into the same tables, triggers and indexes on, in one transaction each, on copies of one
SQLite file. The plain side knows every row beforehand; the action joins the lines to what is stored and proves the balance.
"""

import os
import re
import shutil
import sqlite3
import sys
import tempfile
import time
from datetime import date
from pathlib import Path
from typing import Any

ROWS, ROUNDS, BUDGET = 10_000, 5, 3.0
SCRATCH = Path(tempfile.mkdtemp(prefix="mendbook-bench-"))
os.environ["DATABASE_URL"] = f"sqlite:///{SCRATCH / 'work.sqlite3'}"
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
TABLES = ("bankaccount", "statementfile", "statementline")
ROW = re.compile(
    r"<STMTTRN>\s*<TRNTYPE>(.*?)\s*<DTPOSTED>(\d{4})(\d\d)(\d\d).*?<TRNAMT>(.*?)\s*<FITID>(.*?)\s*<NAME>(.*?)\s*</STMTTRN>",
    re.S,
)


def main() -> int:
    import django

    django.setup()
    prepare()
    data = statement()
    shutil.copy(SCRATCH / "work.sqlite3", SCRATCH / "empty.sqlite3")
    ours, again, plain = [], [], []
    for _ in range(ROUNDS):
        restore()
        ours.append(bring(data, new=ROWS))
        rows = written()
        again.append(bring(data + b"\n", new=0))
        restore()
        plain.append(insert(data, rows))
    ratio = min(ours) / min(plain)
    print(f"import_statement {min(ours):.3f} s, read and executemany {min(plain):.3f} s (best of {ROUNDS})")
    print(f"the same lines in another file: {min(again):.3f} s, nothing new")
    print(f"importing {ROWS:,} lines of a statement: ratio {ratio:.2f}, budget {BUDGET}")
    shutil.rmtree(SCRATCH)
    return 0 if ratio <= BUDGET else 1


def prepare() -> None:
    from django.contrib.auth.models import Group
    from django.core.management import call_command
    from django.db import connection

    from fund.access.models import Person
    from fund.setup import load_basics

    call_command("migrate", verbosity=0)
    load_basics()
    odell = Person.objects.create_user("odell", first_name="Odell", last_name="Price")
    odell.groups.add(Group.objects.get(name="treasurer"))
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def statement() -> bytes:
    from fund.money import Money
    from tests.fund.bank.files import ofx, trn

    amounts = [(n % 40 - 12) * 125 + 5 for n in range(ROWS)]
    rows = [
        trn(f"f{n}", f"202603{n % 28 + 1:02}120000", str(Money(minor)), f"Shop {n % 300}")
        for n, minor in enumerate(amounts)
    ]
    return ofx(rows, str(Money(sum(amounts))).replace(",", ""), "20260331")


def restore() -> None:
    from django.db import connection

    connection.close()
    for leftover in ("work.sqlite3-wal", "work.sqlite3-shm"):
        (SCRATCH / leftover).unlink(missing_ok=True)
    shutil.copy(SCRATCH / "empty.sqlite3", SCRATCH / "work.sqlite3")
    connection.ensure_connection()


def bring(data: bytes, *, new: int) -> float:
    from fund.access.models import Person
    from fund.bank.actions_import import import_statement

    odell = Person.objects.get(username="odell")
    start = time.perf_counter()
    done = import_statement(by=odell, data=data, filename="bench.ofx")
    spent = time.perf_counter() - start
    if done.new != new:
        sys.exit(f"{done.new} new lines instead of {new}")
    return spent


def written() -> dict[str, tuple[str, list[Any]]]:
    """Every row the action wrote, with the statement that inserts such a row."""
    from django.db import connection

    raw: sqlite3.Connection = connection.connection
    found = {}
    for table in TABLES:
        cursor = raw.execute(f"SELECT * FROM fund_{table}")
        names = ", ".join(f'"{column[0]}"' for column in cursor.description)
        marks = ", ".join("?" * len(cursor.description))
        # The connection turns columns into Python values by their declared type; the plain side sends text.
        rows = [
            [str(v) if not isinstance(v, (int, str, bytes, type(None))) else v for v in row] for row in cursor
        ]
        found[table] = (f"INSERT INTO fund_{table} ({names}) VALUES ({marks})", rows)
    return found


def insert(data: bytes, rows: dict[str, tuple[str, list[Any]]]) -> float:
    from django.db import connection, transaction

    raw: sqlite3.Connection = connection.connection
    start = time.perf_counter()
    parsed = parse(data)
    with transaction.atomic():
        for statement, values in rows.values():
            raw.executemany(statement, values)
    spent = time.perf_counter() - start
    if len(parsed) != ROWS:
        sys.exit("the file was not read")
    return spent


def parse(data: bytes) -> list[tuple[Any, ...]]:
    """What a short script would do: texts, days and whole cents, by one expression a line."""
    return [
        (kind, date(int(year), int(month), int(day)), int(amount.replace(".", "")), ref, name)
        for kind, year, month, day, amount, ref, name in ROW.findall(data.decode("cp1252"))
    ]


if __name__ == "__main__":
    sys.exit(main())
