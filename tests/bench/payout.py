"""Posting 10,000 payout rows, against parsing the file and inserting the same rows with executemany.

Both sides write the same rows into the same tables, triggers and indexes on, in one transaction each, on copies of
one SQLite file. The plain side knows every id, code and digest beforehand; the action works them out.
"""

import csv
import io
import os
import shutil
import sqlite3
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path
from typing import Any

ROWS, ROUNDS, BUDGET = 10_000, 5, 3.0
SCRATCH = Path(tempfile.mkdtemp(prefix="mendbook-bench-"))
os.environ["DATABASE_URL"] = f"sqlite:///{SCRATCH / 'work.sqlite3'}"
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
TABLES = ("payoutfile", "supporter", "supporterkey", "line", "entry", "payout", "gift")


def main() -> int:
    import django

    django.setup()
    prepare()
    data = payout_file()
    ours, plain = [], []
    shutil.copy(SCRATCH / "work.sqlite3", SCRATCH / "empty.sqlite3")
    for _ in range(ROUNDS):
        restore()
        ours.append(post(data))
        rows = written()
        restore()
        plain.append(insert(data, rows))
    ratio = min(ours) / min(plain)
    counts = ", ".join(f"{len(found):,} {table}" for table, (_, found) in rows.items())
    print(f"rows written: {counts}")
    print(f"import_payout {min(ours):.3f} s, parse and executemany {min(plain):.3f} s (best of {ROUNDS})")
    print(f"posting {ROWS:,} payout rows: ratio {ratio:.2f}, budget {BUDGET}")
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


def payout_file() -> bytes:
    from fund.money import Money
    from tests.fund.gifts.files import patch_file, pledge, transfer

    rows, net = [], 0
    for n in range(ROWS):
        amount = 500 + n % 40 * 250
        share, cost = amount * 8 // 100, 30 + amount * 29 // 1000
        who = {"Member No": f"m{n}", "Member": f"Member {n}", "Mail": f"m{n}@example.org"}
        money = [str(Money(minor)) for minor in (amount, share, cost)]
        rows.append(pledge(f"ch{n}", f"02/{n % 28 + 1:02}/2026", *money, **who))
        net += amount - share - cost
    return patch_file(*rows, transfer("T1", "03/02/2026", str(Money(net))))


def restore() -> None:
    from django.db import connection

    connection.close()
    for leftover in ("work.sqlite3-wal", "work.sqlite3-shm"):
        (SCRATCH / leftover).unlink(missing_ok=True)
    shutil.copy(SCRATCH / "empty.sqlite3", SCRATCH / "work.sqlite3")
    connection.ensure_connection()


def post(data: bytes) -> float:
    from fund.access.models import Person
    from fund.gifts.actions_payout import import_payout
    from fund.gifts.models import Layout, Payout

    odell = Person.objects.get(username="odell")
    layout = Layout.objects.select_related("platform").get(name="patch-circle")
    start = time.perf_counter()
    import_payout(by=odell, data=data, filename="bench.csv", layout=layout)
    spent = time.perf_counter() - start
    if Payout.objects.count() != 1:
        sys.exit("the payout was not posted")
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
        rows = cursor.fetchall()
        # The connection turns columns into Python values by their declared type; the plain side sends text.
        plain = [
            [str(v) if not isinstance(v, (int, str, bytes, type(None))) else v for v in row] for row in rows
        ]
        found[table] = (f"INSERT INTO fund_{table} ({names}) VALUES ({marks})", plain)
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
    if len(parsed) != ROWS + 1:
        sys.exit("the file was not parsed")
    return spent


def parse(data: bytes) -> list[tuple[Any, ...]]:
    """What a short script would do: texts, days and whole cents."""
    parsed = []
    for row in csv.DictReader(io.StringIO(data.decode())):
        day = datetime.strptime(row["Charged On"], "%m/%d/%Y").date()  # noqa: DTZ007
        cents = [
            int((row[name] or "0").replace(",", "").replace(".", ""))
            for name in ("Pledge Paid", "Platform Share", "Card Cost")
        ]
        parsed.append(
            (row["Charge No"], day, row["What"], *cents, row["Transfer No"], row["Member No"], row["Mail"])
        )
    return parsed


if __name__ == "__main__":
    sys.exit(main())
