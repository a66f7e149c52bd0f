"""The database itself keeps the ledger's laws: each is tried with raw SQL."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.ledger.actions import add_purpose, close_month, post, reverse
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.models import Entry, Line
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import AlreadyDone, MonthClosed, NotAllowed, NotReady, Unbalanced


def gift(by: Person, cents: int = 2500, day: date = date(2026, 2, 10)) -> Entry:
    draft = EntryDraft("gift", day, "A gift", [dr(BANK, Money(cents)), cr(GIFTS, Money(cents))])
    return post(by=by, draft=draft)


def refused(sql: str, *params: str | int) -> str:
    with pytest.raises(DatabaseError) as error, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, params)
    return str(error.value)


COPY_ENTRY = (
    "INSERT INTO fund_entry (number, kind, document_date, posting_date, month, text, source, by_id, later_change,"
    " created_at, prev_digest, digest) SELECT {number}, kind, document_date, {day}, {month}, text, source, by_id,"
    " later_change, created_at, {prev}, 'x' FROM fund_entry WHERE number = 1"
)
COPY_LINES = (
    "INSERT INTO fund_line (entry_id, ordinal, account_id, purpose_id, amount, document_date, posting_date, month, party,"
    " text) SELECT {entry}, ordinal, account_id, purpose_id, {amount}, document_date, posting_date, month, party, text"
    " FROM fund_line WHERE entry_id = 1"
)


def try_entry(
    amount: str = "amount",
    number: str = "2",
    day: str = "posting_date",
    month: str = "month",
    prev: str = "digest",
) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(COPY_LINES.format(entry=number, amount=amount))
        cursor.execute(COPY_ENTRY.format(number=number, day=day, month=month, prev=prev))


def test_a_balanced_entry_is_taken_from_raw_sql_too(treasurer: Person) -> None:
    gift(treasurer)
    try_entry()
    assert Entry.objects.count() == 2


def test_the_database_refuses_an_unbalanced_entry(treasurer: Person) -> None:
    gift(treasurer)
    with pytest.raises(DatabaseError, match="debits and credits differ"):
        try_entry(amount="amount + 1")


def test_the_database_refuses_an_entry_without_lines(treasurer: Person) -> None:
    gift(treasurer)
    sql = COPY_ENTRY.format(number="2", day="posting_date", month="month", prev="digest")
    assert "an entry needs two lines" in refused(sql)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"number": "3"}, "without gaps"),
        ({"prev": "'" + "0" * 64 + "'"}, "chain"),
        ({"month": "'2026-03'"}, "month and posting date differ"),
        ({"day": "'2026-02-11'"}, "another posting date"),
    ],
)
def test_the_database_refuses_an_entry_out_of_line(
    treasurer: Person, changes: dict[str, str], words: str
) -> None:
    gift(treasurer)
    with pytest.raises(DatabaseError, match=words):
        try_entry(**changes)


def test_an_entry_balances_within_each_purpose(treasurer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    crossed = [dr(BANK, Money(100), purpose="tires"), cr(GIFTS, Money(100))]
    with pytest.raises(Unbalanced, match="tires by 1.00"):
        post(by=treasurer, draft=EntryDraft("gift", date(2026, 2, 1), "Crossed", crossed))
    gift(treasurer)
    one_side_moved = COPY_LINES.format(entry="2", amount="amount").replace(
        "SELECT 2, ordinal, account_id, purpose_id",
        "SELECT 2, ordinal, account_id, CASE ordinal WHEN 1 THEN 'tires' ELSE 'general' END",
    )
    with (
        pytest.raises(DatabaseError, match="debits and credits differ"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(one_side_moved)
        cursor.execute(COPY_ENTRY.format(number="2", day="posting_date", month="month", prev="digest"))


@pytest.mark.parametrize("table", ["fund_entry", "fund_line"])
def test_what_is_posted_stays(treasurer: Person, table: str) -> None:
    gift(treasurer)
    assert "stays" in refused(f"UPDATE {table} SET text = 'other'")
    assert "stays" in refused(f"DELETE FROM {table}")


def test_queryset_update_and_delete_are_refused_too(treasurer: Person) -> None:
    gift(treasurer)
    tries: list[Callable[[], object]] = [
        lambda: Line.objects.update(amount=Money(1)),
        lambda: Line.objects.all()._raw_delete("default"),
        lambda: Entry.objects.update(text="other"),
    ]
    for attempt in tries:
        with pytest.raises(DatabaseError), transaction.atomic():
            attempt()


def test_a_posted_entry_takes_no_further_line(treasurer: Person) -> None:
    gift(treasurer)
    assert "no further line" in refused(COPY_LINES.format(entry="1", amount="amount"))


def test_a_line_without_an_entry_does_not_last(treasurer: Person) -> None:
    gift(treasurer)
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(COPY_LINES.format(entry="7", amount="amount"))
        connection.check_constraints()


def test_a_closed_month_is_closed(treasurer: Person, owner: Person) -> None:
    gift(treasurer)
    close_month(by=treasurer, month="2026-02")
    with pytest.raises(DatabaseError, match="the month is closed"):
        try_entry()
    assert "stays closed" in refused("UPDATE fund_month SET closed_at = NULL")
    assert "stays closed" in refused("DELETE FROM fund_month WHERE key = '2026-02'")
    draft = EntryDraft(
        "gift",
        date(2026, 2, 3),
        "Late",
        [dr(BANK, Money(1)), cr(GIFTS, Money(1))],
        posting_date=date(2026, 2, 3),
    )
    with pytest.raises(MonthClosed, match="2026-02 is closed"):
        post(by=treasurer, draft=draft)


def test_a_late_fact_goes_to_the_first_open_month_with_its_own_date(treasurer: Person) -> None:
    gift(treasurer)
    close_month(by=treasurer, month="2026-02")
    late = gift(treasurer, day=date(2026, 2, 20))
    assert (late.posting_date, late.document_date, late.later_change) == (
        date(2026, 3, 1),
        date(2026, 2, 20),
        True,
    )


def test_months_close_in_order_and_only_when_over(treasurer: Person, volunteer: Person) -> None:
    with pytest.raises(NotReady, match="nothing in the books"):
        close_month(by=treasurer, month="2026-02")
    gift(treasurer, day=date(2026, 1, 5))
    with pytest.raises(NotReady, match="close 2026-01 first"):
        close_month(by=treasurer, month="2026-02")
    with pytest.raises(NotAllowed, match="treasurer or owner"):
        close_month(by=volunteer, month="2026-01")
    close_month(by=treasurer, month="2026-01")
    with pytest.raises(AlreadyDone):
        close_month(by=treasurer, month="2026-01")
    close_month(by=treasurer, month="2026-02")
    with pytest.raises(NotReady, match="not over yet"):
        close_month(by=treasurer, month="2026-03")


def test_a_reversal_mirrors_and_points_back_once(treasurer: Person) -> None:
    entry = gift(treasurer)
    with clock.at(date(2026, 3, 9)):
        mirror = reverse(by=treasurer, entry=entry, reason="typed twice")
    assert mirror.reverses == entry
    assert mirror.posting_date == date(2026, 3, 9)
    assert [line.amount for line in mirror.lines.all()] == [Money(-2500), Money(2500)]
    with pytest.raises(AlreadyDone):
        reverse(by=treasurer, entry=entry, reason="again")


def test_each_entry_is_chained_to_the_one_before(treasurer: Person) -> None:
    first, second = gift(treasurer), gift(treasurer, 100)
    assert (first.prev_digest, second.prev_digest) == ("0" * 64, first.digest)
    assert first.digest != second.digest
    assert len(second.digest) == 64
