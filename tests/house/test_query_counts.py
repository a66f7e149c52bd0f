"""A page asks the database as often with many rows as with few, and a list at most twelve times."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund import clock
from fund.access.models import Person
from tests.house import samples
from tests.reports.month.march import Crew

MOST_FOR_A_LIST = 12
GROWN_BY = 30
# Lists whose length the set-up of the fund, the one thing shown or the calendar decides.
FIXED_LISTS = {
    "bank:layouts",
    "bank:reconciliations",
    "bank:statement",
    "bank:upload-preview",
    "eligibility:tables",
    "gifts:layouts",
    "gifts:payout",
    "gifts:payout-file",
    "gifts:supporter",
    "hours:rates",
    "ledger:accounts",
    "letters:limits",
    "repayments:mileage-rates",
    "ledger:purpose",
    "ledger:trial-balance",
    "month:months",
    "position:patterns",
}


@dataclass(frozen=True)
class Seen:
    queries: int
    rows: int | None


def look(client: Client, paths: dict[str, str]) -> dict[str, Seen]:
    """How often each page that opens asks the database, and how many rows its list has in all."""
    seen = {}
    for name, path in paths.items():
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(path)
        if answer.streaming:
            answer.getvalue()
        table: Any = answer.context and answer.context.get("table")
        if answer.status_code == 200:
            seen[name] = Seen(len(asked), None if table is None else len(table.data))
    return seen


@pytest.fixture
def before_and_after(
    owner: Person,
    treasurer: Person,
    screener: Person,
    volunteer: Person,
    volunteer2: Person,
    client_for: Callable[[Person], Client],
) -> tuple[dict[str, Seen], dict[str, Seen]]:
    crew = Crew(owner, treasurer, screener, volunteer, volunteer2)
    samples.live(crew)
    samples.grow(crew, 2)
    volunteer.groups.set(Group.objects.all())  # who sees every page, and has receipts and hours of their own
    client = client_for(volunteer)
    paths = samples.paths()
    with clock.at(samples.AFTER):
        look(client, paths)
        few = look(client, paths)
        samples.grow(crew, GROWN_BY, start=2)
        return few, look(client, paths)


def test_no_page_asks_more_often_when_there_is_more_to_show(
    before_and_after: tuple[dict[str, Seen], dict[str, Seen]],
) -> None:
    few, many = before_and_after
    wrong = []
    for name in sorted(few.keys() & many.keys()):
        less, more = few[name], many[name]
        if more.queries > less.queries:
            wrong.append(f"{name}: {less.queries} queries became {more.queries}")
        if more.rows is None:
            continue
        if more.queries > MOST_FOR_A_LIST:
            wrong.append(f"{name}: a list with {more.queries} queries")
        if more.rows == less.rows and name not in FIXED_LISTS:
            wrong.append(f"{name}: still {more.rows} rows, so nothing is proved")
    assert not wrong
