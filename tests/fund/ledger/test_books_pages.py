"""The pages of the books: entries, lines, accounts, trial balance, purposes."""

import csv
import io
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger import queries_books as books
from fund.ledger.models import Account, Purpose
from fund.ledger.tables import RunningLines
from fund.money import Money, total
from tests.fund.ledger.books import write_book

ForPerson = Callable[[Person], Client]


@pytest.fixture
def reader(treasurer: Person, accountant: Person, client_for: ForPerson) -> Client:
    write_book(treasurer)
    return client_for(accountant)


def rows(client: Client, name: str, args: list[Any] | None = None, **query: str) -> list[dict[str, str]]:
    answer: Any = client.get(reverse(f"ledger:{name}", args=args), {"format": "csv", **query})
    return list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))


def text(client: Client, name: str, args: list[Any] | None = None, **query: str) -> str:
    return client.get(reverse(f"ledger:{name}", args=args), query).content.decode()


def test_an_entry_found_late_is_marked_as_a_later_change(reader: Client) -> None:
    late = rows(reader, "entries", later_change="True")
    assert [(row["What"], row["Posted"]) for row in late] == [
        ("Rags, found late (later change)", "2026-02-01")
    ]


def test_an_entry_is_found_by_its_amount(reader: Client) -> None:
    assert [row["What"] for row in rows(reader, "entries", size="25.00")] == ["Gift by check"]


def test_an_entry_shows_its_lines_on_both_sides_with_equal_sums(reader: Client) -> None:
    page = text(reader, "entry", [1])
    assert page.count("800.00") == 2
    assert "1000 Bank" in page
    assert "3100 Net assets with donor restrictions" in page


def test_the_balance_after_each_line_runs_through_a_closed_month(reader: Client) -> None:
    held = [
        (row["Posted"], row["Debit"], row["Credit"], row["Balance after"])
        for row in rows(reader, "account", ["1000"])
    ]
    assert held == [
        ("2026-02-03", "", "10.00", "811.90"),
        ("2026-02-01", "", "3.10", "821.90"),
        ("2026-01-10", "25.00", "", "825.00"),
        ("2026-01-01", "300.00", "", "800.00"),
        ("2026-01-01", "500.00", "", "500.00"),
    ]


def test_the_balance_of_a_span_of_days_starts_from_what_was_there_before(reader: Client) -> None:
    held = rows(reader, "account", ["1000"], since="2026-02-02", until="2026-02-28")
    assert [row["Balance after"] for row in held] == ["811.90"]


@pytest.mark.parametrize(
    ("until", "bank"), [("2026-01-31", "825.00"), ("", "811.90"), ("2026-02-01", "821.90")]
)
def test_the_trial_balance_of_any_day_comes_to_the_same_sum_on_both_sides(
    reader: Client, until: str, bank: str
) -> None:
    sides = rows(reader, "trial-balance", until=until)
    assert next(row["Debit"] for row in sides if row["Account"] == "1000") == bank
    cents = [sum(int(row[side].replace(".", "") or 0) for row in sides) for side in ("Debit", "Credit")]
    assert cents[0] == cents[1] > 0


def test_the_list_of_accounts_shows_those_without_money_too(reader: Client) -> None:
    assert len(rows(reader, "accounts")) == Account.objects.count()


@pytest.mark.parametrize(
    ("since", "until"),
    [
        (None, None),
        (date(2026, 2, 1), None),
        (None, date(2026, 1, 31)),
        (date(2026, 1, 10), date(2026, 2, 1)),
    ],
)
def test_every_purpose_rolls_forward_to_what_the_ledger_holds(
    treasurer: Person, since: date | None, until: date | None
) -> None:
    write_book(treasurer)
    found = {row.code: row for row in books.purpose_rows(since, until)}
    accounts = books.account_rows(until)
    assert total(row.closing for row in found.values()) == total(
        row.balance for row in accounts if row.code[0] in "12"
    )
    assert found["tires"].closing == Money(30000)


def test_what_is_given_and_spent_in_a_span_is_told_apart(treasurer: Person) -> None:
    write_book(treasurer)
    general = next(row for row in books.purpose_rows(date(2026, 1, 2), None) if row.code == "general")
    assert (general.opening, general.received, general.spent, general.moved, general.closing) == (
        Money(50000),
        Money(2500),
        Money(1310),
        Money.zero,
        Money(51190),
    )


def test_a_purpose_shows_the_givers_words_and_its_lines(reader: Client) -> None:
    page = text(reader, "purpose", ["tires"])
    assert "for tires" in page
    assert "Opening balances" in page


def test_the_treasurer_opens_a_purpose_once(treasurer: Person, client_for: ForPerson) -> None:
    client, form = client_for(treasurer), {"name": "Winter tires", "code": "winter", "giver_words": ""}
    assert client.post(reverse("ledger:purpose-add"), form).status_code == 302
    again = client.post(reverse("ledger:purpose-add"), form)
    assert "already a purpose" in again.content.decode()
    assert Purpose.objects.filter(code="winter").count() == 1


@pytest.mark.parametrize(
    "name", ["entries", "lines", "accounts", "trial-balance", "purposes", "entry", "account", "purpose"]
)
def test_pages_of_the_books_ask_a_steady_few_questions(
    name: str,
    treasurer: Person,
    accountant: Person,
    client_for: ForPerson,
    django_assert_max_num_queries: Any,
) -> None:
    write_book(treasurer)
    args: dict[str, list[Any]] = {"entry": [1], "account": ["1000"], "purpose": ["general"]}
    client = client_for(accountant)
    with django_assert_max_num_queries(11):
        assert client.get(reverse(f"ledger:{name}", args=args.get(name))).status_code == 200


def test_a_volunteer_does_not_see_the_books(volunteer: Person, client_for: ForPerson) -> None:
    assert client_for(volunteer).get(reverse("ledger:entries")).status_code == 403


def test_the_balance_goes_on_from_one_page_to_the_next(treasurer: Person) -> None:
    write_book(treasurer)
    lines = RunningLines(*books.account_lines(Account.objects.get(code="1000")))
    whole = [(line.pk, line.held) for line in lines]  # type: ignore[attr-defined]
    pages = [(line.pk, line.held) for at in (0, 2, 4) for line in lines[at : at + 2]]  # type: ignore[attr-defined]
    assert pages == whole
    assert len(whole) == 5
