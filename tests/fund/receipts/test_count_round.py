"""A round of the shelf: many lots counted without being told what should be there, every difference shown, then booked."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance
from fund.receipts.actions_shelf import count_many, issue_from_shelf
from fund.receipts.models import ShelfCount, ShelfLot
from fund.receipts.proofs import breaks
from fund.receipts.queries import lots_to_count
from fund.refusal import BadInput
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
DAY = date(2026, 3, 10)


@pytest.fixture
def shelf(volunteer: Person, bank: None) -> dict[str, ShelfLot]:
    data = paper(
        volunteer, "167.27", "0.00", line("coolant", "123.27", "shelf", quantity=12000, unit="quart"),
        line("bulb", "24.00", "shelf", quantity=6000), line("fuse", "20.00", "shelf", quantity=10000),
    )  # fmt: skip
    bought(volunteer, data)
    return {lot.item: lot for lot in ShelfLot.objects.all()}


def _name(lot: ShelfLot) -> str:
    return f"lot_{lot.pk}"


def test_a_round_shows_every_difference_and_books_each_at_cost(
    shelf: dict[str, ShelfLot], volunteer: Person, client_for: ClientFor
) -> None:
    page, address = client_for(volunteer), reverse("shelf:round")
    shown = page.get(address).content.decode()
    assert "coolant, L-0001 of 2026-03-03, in quarts" in shown
    assert "12 quarts" not in shown
    typed = {
        "on": "2026-03-10",
        _name(shelf["coolant"]): "10",
        _name(shelf["bulb"]): "6",
        _name(shelf["fuse"]): "",
    }
    asked = page.post(address, typed).content.decode()
    assert "coolant, L-0001: 2 quarts missing, 20.55." in asked
    assert "Together 20.55 is written off at cost." in asked
    assert "1 of 2 lots agree with the books." in asked
    assert ShelfCount.objects.count() == 0
    done = page.post(address, {**typed, "confirm": "yes"}, follow=True).content.decode()
    assert "2 lots counted; 1 differed." in done
    short = ShelfCount.objects.get(lot=shelf["coolant"])
    # Common practice, no source: 2 of 12 quarts at 10.2725 a quart.
    assert sorted(entry_lines(short.entry.number if short.entry else None)) == [
        ("1200", "-20.55", "", ""), ("5100", "20.55", "", ""),
    ]  # fmt: skip
    assert breaks() == []


def test_a_round_in_which_one_lot_cannot_be_right_books_none(
    shelf: dict[str, ShelfLot], volunteer: Person, client_for: ClientFor
) -> None:
    page, address = client_for(volunteer), reverse("shelf:round")
    typed = {"on": "2026-03-10", _name(shelf["coolant"]): "10", _name(shelf["bulb"]): "7"}
    answer = page.post(address, {**typed, "confirm": "yes"})
    assert answer.status_code == 422
    assert "L-0002 had 6 when it was new; it cannot hold 7 now." in answer.content.decode()
    assert (ShelfCount.objects.count(), balance("5100")) == (0, m("0.00"))


def test_nothing_written_is_no_count_and_a_lot_used_up_meanwhile_is_still_counted(
    shelf: dict[str, ShelfLot], volunteer: Person, client_for: ClientFor
) -> None:
    page, address = client_for(volunteer), reverse("shelf:round")
    empty = page.post(address, {"on": "2026-03-10", _name(shelf["bulb"]): ""})
    assert (empty.status_code, "at least one lot" in empty.content.decode()) == (422, True)
    with pytest.raises(BadInput, match="at least one lot"):
        count_many(by=volunteer, counted={}, on=DAY)
    issue_from_shelf(by=volunteer, item="bulb", quantity=6000, home="supplies", on=DAY)
    page.post(address, {"on": "2026-03-10", _name(shelf["bulb"]): "0", "confirm": "yes"})
    assert ShelfCount.objects.get().quantity == 0


def test_a_long_shelf_is_counted_page_by_page_in_one_order(shelf: dict[str, ShelfLot]) -> None:
    codes = [lot.code for lot in lots_to_count()]
    assert codes == ["L-0002", "L-0001", "L-0003"]
    assert [lot.code for lot in lots_to_count(after="L-0002")] == ["L-0001", "L-0003"]
    assert [lot.code for lot in lots_to_count("fuse")] == ["L-0003"]
    assert not lots_to_count(after="L-0003").exists()
