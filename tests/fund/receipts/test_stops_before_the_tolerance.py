"""The receipt form says that a repair's approval and tolerance would be passed before anything is booked."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.actions import save_draft
from fund.receipts.fingerprint import fingerprint
from fund.receipts.models import Receipt
from fund.receipts.rules_counter import above_allowance
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]
Repair = Callable[..., str]


@pytest.mark.parametrize(
    ("spent", "amount", "why"),
    [
        ("0.00", "440.00", ""),
        ("0.00", "440.01", "would reach 440.01"),
        ("400.00", "40.00", ""),
        ("400.00", "65.00", "would reach 465.00: 400.00 was approved with a tolerance of 40.00, so 440.00 is the most"),
    ],
)  # fmt: skip
def test_four_hundred_with_a_tolerance_of_forty_stops_at_four_hundred_and_forty(
    spent: str, amount: str, why: str
) -> None:
    said = above_allowance("RO-0001", m("400.00"), m("40.00"), m(spent), m(amount))
    assert said.startswith(f"RO-0001 {why}") if why else not said


def test_without_an_approval_nothing_can_be_bought() -> None:
    said = above_allowance("RO-0001", Money.zero, Money.zero, Money.zero, m("1.00"))
    assert said == "Nothing has been approved for RO-0001 yet. Ask for an approval first."


def test_a_draft_above_the_tolerance_has_no_button_to_post_and_says_what_to_ask_for(
    volunteer: Person, repair: Repair, client_for: ClientFor
) -> None:
    repair("RO-0001", "400.00", "40.00")
    data = paper(volunteer, "465.00", "0.00", line("pump", "465.00", ("part", "RO-0001")))
    draft = save_draft(by=volunteer, data=data)
    page, entries = client_for(volunteer), Entry.objects.count()
    shown = page.get(reverse("receipts:receipt", args=[draft.code])).content.decode()
    assert "Ask for a supplement of at least 25.00 first." in shown
    assert "Post $465.00" not in shown
    page.post(reverse("receipts:post", args=[draft.code]), {"seen": fingerprint(draft)})
    assert (Receipt.objects.get().state, Entry.objects.count()) == ("draft", entries)


def test_a_price_that_rose_within_the_tolerance_is_posted_and_says_how_far_it_went(
    volunteer: Person, repair: Repair, client_for: ClientFor
) -> None:
    repair("RO-0001", "400.00", "40.00")
    data = paper(volunteer, "425.00", "0.00", line("pump", "425.00", ("part", "RO-0001")))
    draft, page = save_draft(by=volunteer, data=data), client_for(volunteer)
    shown = page.get(reverse("receipts:receipt", args=[draft.code])).content.decode()
    assert "that is 25.00 above the 400.00 approved, tolerance 40.00." in shown
    page.post(reverse("receipts:post", args=[draft.code]), {"seen": fingerprint(draft)})
    draft.refresh_from_db()
    assert draft.state == "posted"


def _typed(*rows: dict[str, str], **head: str) -> dict[str, str]:
    data = {"store": "Gantry Parts", "number": "1", "on": "2026-03-10", "total": "", "tax": "", **head}
    for at, row in enumerate(rows):
        data |= {f"lines-{at}-{name}": value for name, value in row.items()}
    return data


def test_the_form_itself_stops_while_it_is_filled_in_tax_and_shipping_counted(
    volunteer: Person, repair: Repair, client_for: ClientFor
) -> None:
    repair("RO-0001", "400.00", "40.00")
    pump = {"text": "pump", "amount": "410.00", "taxed": "on", "home": "part", "repair": "RO-0001"}
    page = client_for(volunteer)

    def said(*rows: dict[str, str], **head: str) -> str:
        return page.post(reverse("receipts:sum"), _typed(*rows, **head)).content.decode()

    assert "This will not be posted" not in said(pump, tax="30.00")
    assert "RO-0001 would reach 440.01" in said(pump, tax="30.01")
    assert "RO-0001 would reach 442.00" in said(pump, tax="30.00", freight="2.00")
    half = {**pump, "quantity": "2", "shelf_quantity": "1"}
    assert "This will not be posted" not in said(half, tax="30.01")
    core = {**pump, "amount": "900.00", "home": "core"}
    assert "This will not be posted" not in said(core)
    assert "This will not be posted" not in said({**pump, "amount": "-900.00"})


def test_the_form_says_what_lies_on_the_shelf_already(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    coolant = line("coolant, green", "40.00", "shelf", quantity=4000, unit="quart")
    bought(volunteer, paper(volunteer, "40.00", "0.00", coolant))
    page = client_for(volunteer)
    typed = _typed({"text": "Green coolant", "amount": "12.00", "taxed": "on"})
    shown = page.post(reverse("receipts:sum"), typed).content.decode()
    assert "On the shelf already:" in shown
    assert "coolant, green: 4 quarts in L-0001" in shown
    other = _typed({"text": "brake cleaner", "amount": "12.00"})
    assert "On the shelf already" not in page.post(reverse("receipts:sum"), other).content.decode()
