"""Tax charged though exempt: a receipt with stock or a taxed core has a way too, and each of them is worth its tax less."""

from collections.abc import Callable
from datetime import date

import pytest

from fund.access.models import Person
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_claims import claim_tax, settle_claim
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import count_shelf, issue_from_shelf
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.proofs import breaks
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

Repair = Callable[..., str]
DAY = date(2026, 3, 10)


@pytest.fixture
def coolant(volunteer: Person, repair: Repair) -> Receipt:
    """12 quarts at 113.88 with tax of 9.39: 9 to the job at 92.45, 3 to the shelf at 30.82."""
    twelve = line(
        "coolant", "113.88", ("fluid", repair(), 9000), ("shelf", None, 3000), quantity=12000, unit="quart"
    )
    return bought(volunteer, paper(volunteer, "123.27", "9.39", twelve))


def test_the_tax_leaves_the_repair_and_the_lot(coolant: Receipt, volunteer: Person) -> None:
    claim = claim_tax(by=volunteer, receipt=coolant, on=DAY, note="certificate shown")
    assert [(account, amount) for account, amount, *_ in entry_lines(claim.entry_id)] == [
        ("1100", "9.39"),
        ("5010", "-7.04"),
        ("1200", "-2.35"),
    ]
    lot = ShelfLot.objects.get()
    assert (lot.left_cost, balance("1200")) == (m("28.47"), m("28.47"))
    assert (cost_of("RO-0001"), breaks()) == (m("85.41"), [])
    assert settle_claim(by=volunteer, claim=claim, kind="bank", amount=m("9.39"), on=DAY).amount == m("9.39")


def test_of_a_lot_in_use_only_the_tax_of_what_is_left(coolant: Receipt, volunteer: Person) -> None:
    issue_from_shelf(by=volunteer, quantity=1000, on=DAY, item="coolant", cost_object="RO-0001", unit="quart")
    claim = claim_tax(by=volunteer, receipt=coolant, on=DAY, note="")
    # A third of the lot's 2.35 left with the quart that was taken.
    assert claim.amount == m("7.04") + m("1.57")
    assert breaks() == []


def test_what_was_missing_before_comes_back_at_what_was_written_off(
    coolant: Receipt, volunteer: Person
) -> None:
    lot = ShelfLot.objects.get()
    lost = count_shelf(by=volunteer, lot=lot, counted_quantity=2000, on=DAY)
    claim_tax(by=volunteer, receipt=coolant, on=DAY, note="")
    found = count_shelf(by=volunteer, lot=lot, counted_quantity=3000, on=DAY)
    assert (found.quantity, found.amount) == (1000, -lost.amount)
    assert breaks() == []


def _taxed_core(volunteer: Person, repair: Repair) -> Receipt:
    """A part of 214.99 and a core of 55.00, both taxed: 17.74 and 4.54 of tax."""
    job = repair()
    lines = line("alternator", "214.99", ("part", job)), line("core", "55.00", ("core", job))
    return bought(volunteer, paper(volunteer, "292.27", "22.28", *lines, tender="fund_card"))


def test_the_tax_leaves_a_core_that_is_still_out(volunteer: Person, repair: Repair) -> None:
    receipt = _taxed_core(volunteer, repair)
    assert claim_tax(by=volunteer, receipt=receipt, on=DAY, note="").amount == m("22.28")
    core = CoreDeposit.objects.get()
    assert (core.amount, core.tax, cost_of("RO-0001")) == (m("55.00"), m("0.00"), m("214.99"))
    return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full")
    assert (balance("1110"), breaks()) == (m("0.00"), [])


def test_a_core_that_came_back_took_its_tax_along(volunteer: Person, repair: Repair) -> None:
    receipt = _taxed_core(volunteer, repair)
    core = CoreDeposit.objects.get()
    return_core(by=volunteer, core=core, amount_back=core.amount, on=DAY, kind="full")
    assert claim_tax(by=volunteer, receipt=receipt, on=DAY, note="").amount == m("22.28") - core.tax
    assert breaks() == []
