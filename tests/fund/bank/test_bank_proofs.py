"""What check_books proves of the bank, on books that are right and on books changed behind the program's back."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from fund import clock
from fund.access.models import Person
from fund.bank.actions import confirm_all, post_missing
from fund.bank.actions_reconcile import reconcile
from fund.bank.proofs import match_breaks, reconciliation_breaks, statement_breaks
from fund.bank.queries_open import suggestions
from tests.fund.bank.acts import AFTER, bring, given, line
from tests.fund.bank.files import trn

pytestmark = [pytest.mark.django_db, pytest.mark.needs_sqlite]


@pytest.fixture(autouse=True)
def _books(treasurer: Person, settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path
    given(treasurer, "900.00", date(2026, 3, 2))
    bring(treasurer, [trn("a1", "20260303", "900.00"), trn("a2", "20260331", "-9.00")], "891.00")
    with clock.at(AFTER):
        confirm_all(by=treasurer, chosen=suggestions())
        post_missing(by=treasurer, line=line("-9.00"), kind="charge")
        reconcile(by=treasurer, month="2026-03")


def behind_the_back(table: str, change: str) -> None:
    with connection.cursor() as cursor:
        for verb in ("update", "delete"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}")
        cursor.execute(change)


def found() -> Iterator[str]:
    yield from match_breaks()
    yield from statement_breaks()
    yield from reconciliation_breaks()


def test_right_books_have_no_break() -> None:
    assert list(found()) == []


def test_a_changed_amount_of_the_bank_shows_in_line_match_and_statement() -> None:
    behind_the_back(
        "fund_statementline", "UPDATE fund_statementline SET amount = -800, effect = -800 WHERE amount = -900"
    )
    assert list(found()) == [
        "The two sides of M-00002 are 1.00 apart.",
        "The bank's lines come to 892.00 on 2026-03-31; march.ofx says 891.00.",
    ]
    behind_the_back("fund_statementline", "UPDATE fund_statementline SET effect = -900 WHERE amount = -800")
    assert "The bank's line a2 counts with another amount than its own." in list(found())


def test_a_changed_reconciliation_shows() -> None:
    behind_the_back("fund_reconciliation", "UPDATE fund_reconciliation SET book_balance = 1")
    assert list(found()) == ["The bank reconciliation of 2026-03 does not come to 0.00."]
