"""A button pressed twice, or a page sent anew without its answer: what is taken, brought back or claimed is booked once."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ReceiptPortion, ShelfCount, ShelfIssue, ShelfLot
from fund.receipts.models_returns import Claim, ClaimSettlement, PartReturn
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]
DAY = date(2026, 3, 10)
ON = {"on": "2026-03-10"}
TWICE = "This form was sent twice and done once."
Sent = tuple[str, dict[str, Any]]


@pytest.fixture
def page(volunteer: Person, repair: Callable[..., str], client_for: ClientFor) -> Client:
    """12 quarts on the shelf, one taken; four bulbs (21.65 with tax) for the repair; a claim of 20.00 on the store."""
    quarts = line("coolant", "113.88", "shelf", quantity=12_000, unit="quart")
    bought(volunteer, paper(volunteer, "123.27", "9.39", quarts))
    bulbs = line("bulb", "20.00", ("part", repair()), quantity=4000)
    bought(volunteer, paper(volunteer, "21.65", "1.65", bulbs, number="2"))
    hose = bought(
        volunteer, paper(volunteer, "20.00", "0.00", line("hose", "20.00", ("part", "RO-0001")), number="3")
    )
    issue_from_shelf(by=volunteer, item="coolant", quantity=1000, cost_object="RO-0001", on=DAY)
    portion = ReceiptPortion.objects.get(line__receipt=hose)
    return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong")
    return client_for(volunteer)


def take() -> Sent:
    typed = {"item": "quart|coolant", "quantity": "2", "home": "", "cost_object": "RO-0001", **ON}
    return reverse("shelf:issue"), typed


def back_to_the_store() -> Sent:
    portion = ReceiptPortion.objects.get(line__text="bulb")
    typed = {"way": "store", "quantity": "1", "reason": "too many", **ON}
    return reverse("receipts:go-back", args=["R-00002", portion.pk]), typed


def a_rebate() -> Sent:
    address, typed = back_to_the_store()
    return address, {**typed, "way": "rebate", "amount": "2.00"}


def onto_the_shelf() -> Sent:
    address, typed = back_to_the_store()
    return address, {**typed, "way": "shelf"}


def not_used() -> Sent:
    number = ShelfIssue.objects.get().pk
    return reverse("shelf:unused", args=[number]), {"quantity": "0.25", "reason": "unopened", **ON}


def the_tax() -> Sent:
    return reverse("receipts:claim-tax", args=["R-00002"]), {"note": "exempt", **ON}


def a_part_of_a_claim() -> Sent:
    return reverse("receipts:settle", args=["B-0001"]), {"kind": "bank", "amount": "5.00", **ON}


def a_count() -> Sent:
    return reverse("shelf:count", args=["L-0001"]), {"counted_quantity": "10", **ON}


FORMS = [take, back_to_the_store, a_rebate, onto_the_shelf, not_used, the_tax, a_part_of_a_claim, a_count]


def _rows() -> list[int]:
    kept = (Entry, ShelfIssue, PartReturn, Claim, ClaimSettlement, ShelfCount, ShelfLot)
    return [model._default_manager.count() for model in kept]


def _token(page: Client, address: str) -> str:
    found = re.search(r'name="form_token" value="([0-9a-f]{32})"', page.get(address).content.decode())
    assert found, f"the form of {address} carries no token"
    return found[1]


@pytest.mark.parametrize("form", FORMS)
def test_it_is_booked_once_and_leads_to_what_it_made(form: Callable[[], Sent], page: Client) -> None:
    address, typed = form()
    typed["form_token"] = _token(page, address)
    asked = page.post(address, typed).content.decode()
    assert f'name="form_token" value="{typed["form_token"]}"' in asked
    first = page.post(address, {**typed, "confirm": "yes"})
    assert first.status_code == 302
    rows, cost, shelf = _rows(), cost_of("RO-0001"), balance("1200")
    second = page.post(address, {**typed, "confirm": "yes"})
    assert (second.status_code, second["Location"]) == (302, first["Location"])
    assert TWICE in page.get(second["Location"]).content.decode()
    assert (_rows(), cost_of("RO-0001"), balance("1200")) == (rows, cost, shelf)


def test_the_same_taken_again_on_purpose_is_taken_twice(page: Client) -> None:
    for _ in range(2):
        address, typed = take()
        typed["form_token"] = _token(page, address)
        page.post(address, {**typed, "confirm": "yes"})
    assert ShelfIssue.objects.count() == 3
    assert balance("1200") == m("71.91")  # 7 of 12 quarts at 10.2725, to the cents of what was taken before


def test_what_was_refused_can_be_put_right_and_sent_again(page: Client) -> None:
    address, typed = take()
    typed |= {"form_token": _token(page, address), "confirm": "yes"}
    assert page.post(address, {**typed, "quantity": "99"}).status_code == 422
    assert page.post(address, typed).status_code == 302
    assert ShelfIssue.objects.count() == 2
