"""50,000 lots on the shelf: its list, its search and the choice of what to take cost the same few queries."""

from collections.abc import Callable
from datetime import date, timedelta

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.actions_shelf import lots_of_item
from fund.receipts.models import ShelfLot
from fund.receipts.queries import lots

LOTS, ITEMS = 50_000, 400


def test_lists_over_fifty_thousand_lots_take_as_few_queries_as_over_ten(
    bank: None, volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    client, pages = client_for(volunteer), [
        reverse("shelf:lots"), reverse("shelf:lots") + "?words=part+7", reverse("shelf:lots") + "?page=90&sort=-left_cost",
        reverse("shelf:issue"),
    ]  # fmt: skip
    few = _asked(client, pages, 0, 10)
    many = _asked(client, pages, 10, LOTS)
    assert many == few
    assert max(many) <= 12


def test_a_page_of_the_shelf_and_the_choice_of_what_to_take_go_by_an_index(
    bank: None, volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    """Both engines name the index they use; without one they would name the table alone, and sort or scan all of it."""
    _asked(client_for(volunteer), [], 0, LOTS)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE fund_shelflot")
    page = lots().filter(left_quantity__gt=0)[:25]
    taken = lots_of_item("PART 7", "each", None, date(2026, 3, 10))
    assert "lot_in_order" in page.explain()
    assert "lot_item" in taken.explain()
    assert taken.count() == LOTS // ITEMS


def _asked(client: Client, pages: list[str], start: int, stop: int) -> list[int]:
    entry = Entry.objects.latest("number")
    ShelfLot.objects.bulk_create(
        (
            ShelfLot(
                code=f"L-{number + 1:04}", item=f"part {number % ITEMS}", unit="each", quantity=1000, cost=Money(500),
                left_quantity=1000, left_cost=Money(500), on=date(2024, 1, 1) + timedelta(days=number % 700),
                source="R-1", entry=entry,
            )
            for number in range(start, stop)
        ),
        batch_size=2000,
    )  # fmt: skip
    asked = []
    for page in pages:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page).status_code in (200, 404)
        asked.append(len(queries))
    return asked
