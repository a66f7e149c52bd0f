"""No SQL puts a new row in the place of one that stays: not SQLite's OR REPLACE, not PostgreSQL's ON CONFLICT.

On SQLite the rows are attacked as the sqlite3 shell would, with recursive_triggers off: the guards against DELETE are
then not asked for the rows that REPLACE takes away.
"""

import shutil
import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from fund.access.models import Person
from fund.dbguard import every_guard
from fund.ledger.actions import close_month, post
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money

GUARDED = sorted(table for guard in every_guard() for table in (*guard.tables, *guard.sealed))
SEALED = sorted(table for guard in every_guard() for table in guard.sealed)


@pytest.fixture(scope="module")
def empty(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with all tables and guards, without what is verified when an entry or a letter comes in."""
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(
            "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%%'"
        )
        kept = [sql for name, sql in cursor.fetchall() if not name.endswith("_verify")]
    path: Path = tmp_path_factory.mktemp("shell") / "empty.sqlite3"
    plain = sqlite3.connect(path)
    plain.executescript(";\n".join(["BEGIN", *kept, "COMMIT"]) + ";")
    plain.close()
    return path


@pytest.fixture
def shell(empty: Path, tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A plain connection to a file, as the shell opens one. The rows put in here need not make sense."""
    plain = sqlite3.connect(shutil.copy(empty, tmp_path / "books.sqlite3"), isolation_level=None)
    plain.execute("PRAGMA ignore_check_constraints = ON")
    plain.execute("PRAGMA synchronous = OFF")
    assert plain.execute("PRAGMA recursive_triggers").fetchone() == (0,)
    yield plain
    plain.close()


Row = dict[str, object]


def made_up(shell: sqlite3.Connection, table: str, seed: int) -> Row:
    """A row whose every value differs from that of another seed."""
    columns = shell.execute(f"PRAGMA table_info({table})").fetchall()
    numbers = ("integer", "bigint", "smallint", "bool")
    return {
        row[1]: seed
        if row[2].lower().startswith(numbers) or row[5] == 1 and "char" not in row[2]
        else f"{seed:07d}"
        for row in columns
    }


def insert(shell: sqlite3.Connection, table: str, row: Row, verb: str = "INSERT") -> None:
    names = ", ".join(f'"{name}"' for name in row)
    places = ", ".join("?" * len(row))
    shell.execute(f"{verb} INTO {table} ({names}) VALUES ({places})", list(row.values()))


def unique_keys(shell: sqlite3.Connection, table: str) -> list[list[str]]:
    names = [row[1] for row in shell.execute(f"PRAGMA index_list({table})") if row[2]]
    return [[row[2] for row in shell.execute(f"PRAGMA index_info({name})")] for name in names]


@pytest.mark.needs_sqlite
@pytest.mark.parametrize("table", GUARDED)
def test_a_row_that_stays_is_not_replaced(shell: sqlite3.Connection, table: str) -> None:
    first, other = made_up(shell, table, 1), made_up(shell, table, 2)
    nothing = [
        name for name in first if name == "also_in_id"
    ]  # the one column that a partial unique rule asks about
    first |= dict.fromkeys(nothing)
    other |= dict.fromkeys(nothing)
    insert(shell, table, first)
    kept = shell.execute(f"SELECT * FROM {table}").fetchall()
    for keys in [["rowid"], *unique_keys(shell, table)]:
        again = {**other, "rowid": 1} if keys == ["rowid"] else other | {name: first[name] for name in keys}
        if "rowid" in again and "id" in again:
            again["id"] = again.pop("rowid")
        if None in [first.get(name) for name in keys if name != "rowid"]:
            continue  # nothing equals nothing, so nothing stands in the way
        with pytest.raises(sqlite3.IntegrityError, match="is not replaced"):
            insert(shell, table, again, "INSERT OR REPLACE")
        assert shell.execute(f"SELECT * FROM {table}").fetchall() == kept
    insert(shell, table, other)


@pytest.mark.needs_sqlite
@pytest.mark.parametrize("table", GUARDED)
def test_a_row_that_stays_is_not_moved_onto_another(shell: sqlite3.Connection, table: str) -> None:
    insert(shell, table, made_up(shell, table, 1))
    insert(shell, table, made_up(shell, table, 2))
    kept = shell.execute(f"SELECT * FROM {table}").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match="what is written stays"):
        shell.execute(f"UPDATE OR REPLACE {table} SET rowid = 1 WHERE rowid = 2")
    assert shell.execute(f"SELECT * FROM {table}").fetchall() == kept


CLOSED = "INSERT INTO fund_month (key, closed_at, closed_by_id) VALUES ('2026-10', '2026-11-01', 1)"


@pytest.mark.needs_sqlite
@pytest.mark.parametrize(
    "attack",
    [
        "INSERT OR REPLACE INTO fund_month (key, closed_at, closed_by_id) VALUES ('2026-10', NULL, NULL)",
        "REPLACE INTO fund_month (rowid, key) VALUES (1, '2026-12')",
        "UPDATE OR REPLACE fund_month SET key = '2026-10' WHERE key = '2026-11'",
        "UPDATE OR REPLACE fund_month SET rowid = 1 WHERE key = '2026-11'",
        "INSERT INTO fund_month (key) VALUES ('2026-10') ON CONFLICT (key) DO UPDATE SET closed_at = NULL",
    ],
)
def test_a_closed_month_is_not_opened_by_another_row(shell: sqlite3.Connection, attack: str) -> None:
    shell.execute(CLOSED)
    shell.execute("INSERT INTO fund_month (key) VALUES ('2026-11')")
    with pytest.raises(sqlite3.IntegrityError):
        shell.execute(attack)
    assert shell.execute("SELECT key, closed_at FROM fund_month ORDER BY key").fetchall() == [
        ("2026-10", "2026-11-01"),
        ("2026-11", None),
    ]


def refused(sql: str) -> None:
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)


@pytest.mark.parametrize(
    ("table", "key", "change"),
    [
        ("fund_entry", "number", "text = 'other'"),
        ("fund_line", "id", "text = 'other'"),
        ("fund_monthbalance", "id", "closing = 0"),
        ("fund_trailline", "id", "text = 'other'"),
        ("fund_month", "key", "closed_at = NULL"),
    ],
)
def test_what_stands_in_the_way_of_an_insert_is_not_updated(
    treasurer: Person, table: str, key: str, change: str
) -> None:
    lines = [dr(BANK, Money(2500)), cr(GIFTS, Money(2500))]
    post(by=treasurer, draft=EntryDraft("gift", date(2026, 2, 10), "A gift", lines))
    close_month(by=treasurer, month="2026-02")
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table}")
        before = cursor.fetchall()
    refused(
        f"INSERT INTO {table} SELECT * FROM {table} WHERE true ON CONFLICT ({key}) DO UPDATE SET {change}"
    )
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table}")
        assert cursor.fetchall() == before


@pytest.mark.parametrize("table", GUARDED)
def test_every_guarded_table_has_its_guard_against_updates(db: None, table: str) -> None:
    """ON CONFLICT DO UPDATE is an UPDATE on both engines and meets this guard."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [table])
            wanted = {f"{table}_{verb}" for verb in ("no_update", "no_delete", "no_replace")}
        else:
            cursor.execute("SELECT tgname FROM pg_trigger WHERE tgrelid = %s::regclass", [table])
            wanted = {f"{table}_no_change", f"{table}_no_truncate"}
        assert wanted <= {name for (name,) in cursor.fetchall()}
