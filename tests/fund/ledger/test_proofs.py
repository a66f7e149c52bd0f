"""check_books names what was changed behind the program's back."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection

from fund.access.models import Person
from fund.ledger.actions import close_month, post
from fund.ledger.chart import BANK, GIFTS, PARTS, SUPPLIER_REFUNDS
from fund.ledger.models import Entry
from fund.ledger.proofs_guards import guard_breaks
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.proofs import prove


def gift(by: Person, day: date) -> Entry:
    draft = EntryDraft("gift", day, "A gift", [dr(BANK, Money(2500)), cr(GIFTS, Money(2500))])
    return post(by=by, draft=draft)


def tamper(*statements: str) -> None:
    """Change rows as someone with the database's own shell would, guards dropped first."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            for (name,) in cursor.fetchall():
                cursor.execute(f"DROP TRIGGER {name}")
        else:
            cursor.execute("SET session_replication_role = replica")
        for statement in statements:
            cursor.execute(statement)
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = origin")


@pytest.fixture
def books(treasurer: Person) -> None:
    gift(treasurer, date(2026, 1, 5))
    gift(treasurer, date(2026, 1, 6))
    close_month(by=treasurer, month="2026-01")
    gift(treasurer, date(2026, 2, 2))


def test_sound_books_are_proved(books: None) -> None:
    verdict = prove()
    assert (verdict.ok, verdict.breaks) == (True, [])
    assert verdict.counts == {"entries": 3, "lines": 6, "closed_months": 1}


@pytest.mark.parametrize(
    ("sql", "sentence"),
    [
        ("UPDATE fund_line SET text = 'x' WHERE entry_id = 2", "Entry 2 of 2026-01-06"),
        (
            "UPDATE fund_line SET amount = amount + 1 WHERE entry_id = 2 AND ordinal = 1",
            "out of balance by 0.01",
        ),
        ("UPDATE fund_entry SET prev_digest = digest WHERE number = 3", "Entry 3 is not linked"),
        ("UPDATE fund_line SET amount = amount * 2 WHERE entry_id = 2", "the lines say 75.00"),
        ("UPDATE fund_line SET month = '2026-02' WHERE entry_id = 2 AND ordinal = 1", "another posting date"),
        ("DELETE FROM fund_line WHERE entry_id = 2", "Entry 2 of 2026-01-06"),
    ],
)
def test_a_change_is_named(books: None, sql: str, sentence: str) -> None:
    tamper(sql)
    assert any(sentence in words for words in prove().breaks)


def test_a_deleted_entry_is_missed(books: None) -> None:
    tamper("DELETE FROM fund_line WHERE entry_id = 2", "DELETE FROM fund_entry WHERE number = 2")
    assert any(words.startswith("Entry 2 is missing") for words in prove().breaks)


def triggers() -> dict[str, str]:
    """Every trigger that guards rows in this database, with its table, as the database itself lists them."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute("SELECT tgname, tgrelid::regclass::text FROM pg_trigger WHERE NOT tgisinternal")
        return dict(cursor.fetchall())


@pytest.mark.parametrize("app", ["fund", "jobs", "reports"])
def test_each_dropped_guard_of_every_app_is_named(db: None, app: str) -> None:
    mine = {name: table for name, table in triggers().items() if table.startswith(f"{app}_")}
    assert len(mine) >= 6
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with checks to come cannot be altered
        for name, table in mine.items():
            dropped = f"DROP TRIGGER {name}"
            switched_off = f"ALTER TABLE {table} DISABLE TRIGGER {name}"
            cursor.execute(dropped if connection.vendor == "sqlite" else switched_off)
    said = "The database guard “{}” is missing: what is written is not protected."
    assert sorted(guard_breaks()) == sorted(said.format(name) for name in mine)


@pytest.mark.parametrize(
    ("sql", "sentence"),
    [
        (
            "UPDATE fund_month SET closed_at = NULL, closed_by_id = NULL",
            "2026-01 is open, but it was closed before",
        ),
        (
            "DELETE FROM fund_monthbalance; DELETE FROM fund_month",
            "2026-01 is open, but it was closed before",
        ),
        ("UPDATE fund_month SET closed_by_id = NULL", "nobody is named who closed it"),
        ("UPDATE fund_month SET closed_by_id = {other}", "The close of 2026-01 was changed"),
        ("UPDATE fund_month SET closed_at = '2026-03-14 12:00:00+00:00'", "The close of 2026-01 was changed"),
        (
            "DELETE FROM fund_trailline WHERE action = 'month.close'",
            "2026-01 is closed, but the trail does not say",
        ),
        ("UPDATE fund_monthbalance SET closing = 0, debit = credit", "The frozen balance of account 1000"),
    ],
)
def test_a_close_that_was_undone_or_changed_is_named(
    books: None, volunteer: Person, sql: str, sentence: str
) -> None:
    tamper(*sql.format(other=volunteer.pk).split("; "))
    assert any(sentence in words for words in prove().breaks)


def test_claims_on_stores_are_proved_against_their_account(treasurer: Person) -> None:
    assert prove().ok
    lines = [dr(SUPPLIER_REFUNDS, Money(900)), cr(PARTS, Money(900))]
    post(by=treasurer, draft=EntryDraft("other", date(2026, 3, 2), "No claim behind it", lines))
    assert any(
        "The open claims on stores add up to 0.00, but account 1100 holds 9.00." in w for w in prove().breaks
    )


def test_the_command_answers_a_program_and_fails_on_a_break(books: None) -> None:
    out = StringIO()
    call_command("check_books", "--json", stdout=out)
    assert json.loads(out.getvalue())["ok"] is True
    tamper("UPDATE fund_line SET text = 'x' WHERE entry_id = 2")
    out = StringIO()
    with pytest.raises(SystemExit) as stop:
        call_command("check_books", "--json", stdout=out)
    assert stop.value.code == 1
    answer = json.loads(out.getvalue())
    assert answer["ok"] is False
    assert any("Entry 2" in words for words in answer["breaks"])
