"""The room is proved against the books, and each break is a sentence that names the thing."""

from collections.abc import Callable

import pytest

from fund.access.models import Person
from fund.receipts.models import CoreDeposit, ReceiptPortion, ShelfLot
from fund.receipts.proofs import breaks
from tests.fund.receipts.makers import bought, line, m, paper


@pytest.fixture(autouse=True)
def _room(volunteer: Person, repair: Callable[..., str]) -> None:
    data = paper(
        volunteer,
        "175.00",
        "0.00",
        line("alternator", "100.00", ("part", repair())),
        line("core", "55.00", ("core", "RO-0001")),
        line("bulbs", "20.00", "shelf", quantity=4000),
    )
    bought(volunteer, data)


def test_all_agrees() -> None:
    assert breaks() == []


def test_a_lot_changed_behind_the_program_is_named() -> None:
    ShelfLot.objects.update(left_cost=m("19.00"))
    assert breaks() == [
        "The lots left on the shelf cost 19.00, but account 1200 holds 20.00.",
        "L-0001: the cost left is not what it cost less what was issued.",
    ]


def test_a_quantity_changed_behind_the_program_is_named() -> None:
    ShelfLot.objects.update(left_quantity=3000)
    assert breaks() == ["L-0001: what is left is not what came less what was issued."]


def test_a_core_that_vanished_is_named() -> None:
    CoreDeposit.objects.all().delete()
    assert breaks() == ["The open cores add up to 0.00, but account 1110 holds 55.00."]


def test_a_portion_changed_behind_the_program_names_its_receipt() -> None:
    ReceiptPortion.objects.filter(home="part").update(amount=m("99.00"))
    assert breaks() == ["R-00001: its lines, its portions and its total differ."]
