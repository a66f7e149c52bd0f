"""A count finds what can be there: what came, less what was taken or went back to its store. Never quarts out of nothing."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_returns import return_to_shelf, return_to_store
from fund.receipts.actions_shelf import count_many, count_shelf, issue_from_shelf
from fund.receipts.models import ReceiptPortion, ShelfCount, ShelfIssue, ShelfLot
from fund.receipts.proofs import breaks
from fund.refusal import BadInput
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
DAY = date(2026, 3, 10)


@pytest.fixture
def lot(volunteer: Person, repair: Callable[..., str]) -> ShelfLot:
    """12 quarts at 123.27 with their tax, bought on the 3rd; 9 of them (92.45) taken for a repair on the 10th."""
    coolant = line("coolant", "113.88", "shelf", quantity=12_000, unit="quart")
    bought(volunteer, paper(volunteer, "123.27", "9.39", coolant))
    issue_from_shelf(by=volunteer, item="coolant", quantity=9000, cost_object=repair(), on=DAY)
    return ShelfLot.objects.get()


def _still_as_taken(lot: ShelfLot) -> None:
    lot.refresh_from_db()
    assert (lot.left_quantity, lot.left_cost) == (3000, m("30.82"))
    assert (balance("1200"), cost_of("RO-0001"), balance("5100")) == (m("30.82"), m("92.45"), m("0.00"))
    assert breaks() == []


def test_what_was_taken_for_a_repair_cannot_be_counted_back_onto_the_shelf(
    lot: ShelfLot, volunteer: Person
) -> None:
    with pytest.raises(
        BadInput, match="had 12 when it was new and 9 of it left since; it cannot hold 12 now"
    ):
        count_shelf(by=volunteer, lot=lot, counted_quantity=12_000, on=DAY)
    with pytest.raises(BadInput, match="it cannot hold 3.001 now"):
        count_many(by=volunteer, counted={lot: 3001}, on=DAY)
    _still_as_taken(lot)


def test_a_count_of_a_day_before_the_last_taking_is_refused(lot: ShelfLot, volunteer: Person) -> None:
    """Twelve quarts were there on the 9th; compared with the three of today that would be nine too many."""
    for counted in (12_000, 3000, 2000):
        with pytest.raises(BadInput, match="L-0001 was taken from or counted on 2026-03-10"):
            count_shelf(by=volunteer, lot=lot, counted_quantity=counted, on=date(2026, 3, 9))
    _still_as_taken(lot)
    assert ShelfCount.objects.count() == 0


def test_a_shortage_found_again_is_counted_back_up_to_what_can_be_there(
    lot: ShelfLot, volunteer: Person
) -> None:
    """Common practice, no source: of 3 quarts at 30.82 two are missing (20.55) and are found again, one after the other."""
    short = count_shelf(by=volunteer, lot=lot, counted_quantity=1000, on=DAY)
    assert entry_lines(short.entry_id) == [("1200", "-20.55", "", ""), ("5100", "20.55", "", "")]
    one = count_shelf(by=volunteer, lot=lot, counted_quantity=2000, on=DAY)
    assert entry_lines(one.entry_id) == [("1200", "10.28", "", ""), ("5100", "-10.28", "", "")]
    count_shelf(by=volunteer, lot=lot, counted_quantity=3000, on=date(2026, 3, 11))
    _still_as_taken(lot)
    with pytest.raises(BadInput, match="it cannot hold 4 now"):
        count_shelf(by=volunteer, lot=lot, counted_quantity=4000, on=date(2026, 3, 11))


def test_what_was_put_back_lies_in_a_lot_of_its_own_and_is_counted_there(
    lot: ShelfLot, volunteer: Person
) -> None:
    issue = ShelfIssue.objects.get()
    back = return_to_shelf(by=volunteer, issue=issue, quantity=2000, on=DAY, reason="unopened")
    with pytest.raises(BadInput, match="it cannot hold 5 now"):
        count_shelf(by=volunteer, lot=lot, counted_quantity=5000, on=DAY)
    kept = count_many(by=volunteer, counted={lot: 3000, back: 2000}, on=DAY)
    assert [row.quantity for row in kept] == [0, 0]
    assert breaks() == []


def test_what_went_back_to_its_store_cannot_be_counted_back(volunteer: Person, bank: None) -> None:
    bulbs = line("bulb", "20.00", "shelf", quantity=4000)
    bought(volunteer, paper(volunteer, "20.00", "0.00", bulbs))
    portion, lot = ReceiptPortion.objects.get(), ShelfLot.objects.get()
    return_to_store(by=volunteer, portion=portion, quantity=3000, on=DAY, reason="too many")
    with pytest.raises(BadInput, match="had 4 when it was new and 3 of it left since; it cannot hold 2 now"):
        count_shelf(by=volunteer, lot=lot, counted_quantity=2000, on=DAY)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"counted_quantity": "12", "on": "2026-03-12"}, "it cannot hold 12 now"),
        ({"counted_quantity": "3", "on": "2026-03-09"}, "was taken from or counted on 2026-03-10"),
    ],
)
def test_the_page_says_so_before_anything_is_asked(
    typed: dict[str, str], words: str, lot: ShelfLot, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post(reverse("shelf:count", args=[lot.code]), typed)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    round_ = {f"lot_{lot.pk}": typed["counted_quantity"], "on": typed["on"]}
    answer = client_for(volunteer).post(reverse("shelf:round"), round_)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    _still_as_taken(lot)


def test_the_proof_names_a_lot_of_which_more_was_taken_than_came(lot: ShelfLot, volunteer: Person) -> None:
    """Written past the action, as books of before the rule may hold it."""
    ShelfCount.objects.create(
        lot=lot, expected=3000, counted=4000, quantity=1000, amount=m("0.00"), on=DAY, counted_by=volunteer
    )
    lot.left_quantity = 4000
    lot.save(update_fields=["left_quantity"])
    assert breaks() == ["L-0001: more was taken and is left than ever came."]
