"""What is taken, counted or returned is shown in sentences first and booked when confirmed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.models import CoreReturn, ShelfCount, ShelfIssue
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]


@pytest.fixture
def page(volunteer: Person, repair: Callable[..., str], client_for: ClientFor) -> Client:
    data = paper(
        volunteer,
        "178.27",
        "9.39",
        line("coolant", "113.88", "shelf", quantity=12000, unit="quart"),
        line("core alternator", "55.00", ("core", repair()), taxable=False),
    )
    bought(volunteer, data)
    return client_for(volunteer)


def _take(**change: Any) -> dict[str, Any]:
    return {
        "item": "quart|coolant",
        "quantity": "9",
        "home": "",
        "cost_object": "RO-0001",
        "on": "2026-03-10",
        **change,
    }


def test_taking_is_shown_first_and_booked_when_confirmed(page: Client) -> None:
    asked = page.post(reverse("shelf:issue"), _take()).content.decode()
    assert "Take 9 quarts of coolant from the shelf?" in asked
    assert "9 quarts out of L-0001: 92.45" in asked
    assert "RO-0001 is charged 92.45." in asked
    assert ShelfIssue.objects.count() == 0
    page.post(reverse("shelf:issue"), _take(confirm="yes"))
    assert (cost_of("RO-0001"), balance("1200")) == (m("92.45"), m("30.82"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"quantity": "13"}, "The shelf has 12 quarts of coolant, not 13 quarts."),
        ({"cost_object": ""}, "Say which repair."),
        ({"quantity": "many"}, "is not a quantity"),
        ({"quantity": "0"}, "A quantity is more than 0. Write it like 12 or 0.5."),
        ({"on": "2026-03-01"}, "There was no coolant on the shelf on 2026-03-01."),
    ],
)
def test_what_cannot_be_taken_comes_back_with_what_was_typed(
    change: dict[str, Any], words: str, page: Client
) -> None:
    for confirm in ({}, {"confirm": "yes"}):
        answer = page.post(reverse("shelf:issue"), _take(**change, **confirm))
        assert answer.status_code == 422
        assert words in answer.content.decode()
        assert f'value="{change.get("quantity", "9")}"' in answer.content.decode()
    assert ShelfIssue.objects.count() == 0


def test_the_shop_takes_without_a_repair(page: Client) -> None:
    page.post(reverse("shelf:issue"), _take(home="supplies", confirm="yes"))
    assert balance("5200") == m("92.45")


def test_a_count_is_shown_first_and_booked_when_confirmed(page: Client) -> None:
    address = reverse("shelf:count", args=["L-0001"])
    typed = {"counted_quantity": "10", "on": "2026-03-10"}
    assert "2 quarts missing and written off at cost: 20.55." in page.post(address, typed).content.decode()
    assert ShelfCount.objects.count() == 0
    page.post(address, {**typed, "confirm": "yes"})
    assert balance("5100") == m("20.55")
    none = page.post(address, {"counted_quantity": "0", "on": "2026-03-10"}).content.decode()
    assert "10 quarts missing" in none


@pytest.mark.parametrize(
    ("typed", "words", "lost"),
    [
        ({"kind": "full"}, "55.00 comes back to the fund.", "0.00"),
        ({"kind": "part", "amount_back": "30.00"}, "25.00 is lost and booked as a cost of RO-0001.", "25.00"),
        ({"kind": "refused"}, "55.00 is lost and booked as a cost of RO-0001.", "55.00"),
    ],
)
def test_a_core_return_is_shown_first_and_booked_when_confirmed(
    typed: dict[str, str], words: str, lost: str, page: Client
) -> None:
    address = reverse("shelf:return", args=["K-0001"])
    data = {"to": "bank", "on": "2026-03-10", **typed}
    assert words in page.post(address, data).content.decode()
    assert CoreReturn.objects.count() == 0
    page.post(address, {**data, "confirm": "yes"})
    assert balance("5040") == m(lost)
    assert page.get(address).headers["Location"] == reverse("shelf:core", args=["K-0001"])


def test_a_core_return_that_does_not_fit_is_refused(page: Client) -> None:
    address = reverse("shelf:return", args=["K-0001"])
    for typed, words in (
        ({"kind": "part"}, "Write how much came back."),
        ({"kind": "part", "amount_back": "55.00"}, "less than 55.00"),
        ({"kind": "full", "to": "crew"}, "Say whose card"),
    ):
        answer = page.post(address, {"to": "bank", "on": "2026-03-10", **typed})
        assert answer.status_code == 422
        assert words in answer.content.decode()


def test_who_wants_to_change_it_first_finds_what_was_typed(page: Client) -> None:
    shown = page.post(reverse("shelf:issue"), _take(confirm="no"))
    assert shown.status_code == 200
    assert 'name="quantity" value="9"' in shown.content.decode()
    assert ShelfIssue.objects.count() == 0
