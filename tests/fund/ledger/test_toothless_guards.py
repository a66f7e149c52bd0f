"""check_books names a guard that still has its name and no longer refuses anything."""

import pytest
from django.db import connection

from fund.ledger.proofs_guards import guard_breaks, plain

OTHER = "The database guard “{}” is not the one that belongs there: what is written is not protected."
MISSING = "The database guard “{}” is missing: what is written is not protected."


def run(*statements: str) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with checks to come cannot be altered
        for statement in statements:
            cursor.execute(statement)


def test_as_the_migrations_made_them_nothing_is_named(db: None) -> None:
    assert list(guard_breaks()) == []


@pytest.mark.needs_sqlite
def test_a_trigger_with_another_body_is_named(db: None) -> None:
    run(
        "DROP TRIGGER jobs_approval_no_update",
        "CREATE TRIGGER jobs_approval_no_update BEFORE UPDATE ON jobs_approval BEGIN SELECT 1; END",
    )
    assert list(guard_breaks()) == [OTHER.format("jobs_approval_no_update")]


@pytest.mark.needs_postgres
def test_a_function_that_was_emptied_is_named(db: None) -> None:
    run(
        "CREATE OR REPLACE FUNCTION fund_entry_stays() RETURNS trigger LANGUAGE plpgsql AS"
        " $$ BEGIN RETURN NEW; END $$"
    )
    assert list(guard_breaks()) == [
        "The function “fund_entry_stays” of a database guard is not the one that belongs there."
    ]


@pytest.mark.needs_postgres
@pytest.mark.parametrize(
    ("event", "function"),
    [
        ("BEFORE DELETE", "fund_entry_stays"),
        ("AFTER UPDATE OR DELETE", "fund_entry_stays"),
        ("BEFORE UPDATE OF number OR DELETE", "fund_entry_stays"),
        ("BEFORE UPDATE OR DELETE", "fund_line_verify"),
    ],
)
def test_a_trigger_that_was_made_anew_for_less_is_named(db: None, event: str, function: str) -> None:
    run(
        "DROP TRIGGER fund_entry_no_change ON fund_entry",
        f"CREATE TRIGGER fund_entry_no_change {event} ON fund_entry FOR EACH ROW EXECUTE FUNCTION {function}()",
    )
    assert list(guard_breaks()) == [OTHER.format("fund_entry_no_change")]


@pytest.mark.needs_postgres
@pytest.mark.parametrize("how", ["DISABLE TRIGGER", "ENABLE REPLICA TRIGGER"])
def test_a_trigger_that_fires_for_nobody_is_named(db: None, how: str) -> None:
    run(f"ALTER TABLE fund_entry {how} fund_entry_no_change")
    assert list(guard_breaks()) == [MISSING.format("fund_entry_no_change")]


def test_the_order_of_events_and_columns_is_no_difference() -> None:
    made = 'CREATE TRIGGER t BEFORE UPDATE OF "on", id OR DELETE ON x FOR EACH ROW EXECUTE FUNCTION f()'
    told = 'CREATE TRIGGER t BEFORE DELETE OR UPDATE OF id, "on" ON x FOR EACH ROW EXECUTE FUNCTION f()'
    less = "CREATE TRIGGER t BEFORE DELETE OR UPDATE OF id ON x FOR EACH ROW EXECUTE FUNCTION f()"
    assert plain(made) == plain(told) != plain(less)
