"""A supplier's bills are paid whole, once, by somebody who neither bought nor entered them."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.ledger.queries import balance
from fund.receipts.actions_bills import pay_supplier_bill
from fund.receipts.models import Receipt, Supplier
from fund.refusal import AlreadyDone, BadInput, NotAllowed, TwoPeopleNeeded
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 12)


@pytest.fixture
def bills(volunteer: Person, bank: None) -> list[Receipt]:
    return [
        bought(
            volunteer,
            paper(
                volunteer,
                amount,
                "0.00",
                line("rags", amount, "supplies"),
                tender="supplier_bill",
                number=number,
            ),
        )
        for number, amount in (("1", "300.00"), ("2", "72.40"))
    ]


def test_named_bills_are_paid_out_of_the_bank(bills: list[Receipt], owner: Person) -> None:
    store = Supplier.objects.get()
    payment = pay_supplier_bill(by=owner, supplier=store, receipts=bills, amount=m("372.40"), on=DAY)
    assert entry_lines(payment.entry_id) == [
        ("2000", "372.40", "", "Gantry Parts"),
        ("1000", "-372.40", "", ""),
    ]
    assert balance("2000") == m("0.00")
    with pytest.raises(AlreadyDone, match="was paid before"):
        pay_supplier_bill(by=owner, supplier=store, receipts=bills[:1], amount=m("300.00"), on=DAY)


def test_a_statement_that_is_not_the_papers_is_not_paid(bills: list[Receipt], owner: Person) -> None:
    """Statement 410.00, papers 372.40: the missing 37.60 is found before paying (common practice)."""
    with pytest.raises(BadInput, match="add up to 372.40, not 410.00: 37.60 apart"):
        pay_supplier_bill(
            by=owner, supplier=Supplier.objects.get(), receipts=bills, amount=m("410.00"), on=DAY
        )
    assert balance("2000") == m("-372.40")


def test_who_entered_a_bill_does_not_pay_it(treasurer: Person, bank: None) -> None:
    bill = bought(
        treasurer,
        paper(treasurer, "20.00", "0.00", line("rags", "20.00", "supplies"), tender="supplier_bill"),
    )
    with pytest.raises(TwoPeopleNeeded):
        pay_supplier_bill(by=treasurer, supplier=bill.supplier, receipts=[bill], amount=m("20.00"), on=DAY)


def test_a_receipt_that_is_no_bill_a_wrong_day_and_a_volunteer_are_refused(
    bills: list[Receipt], owner: Person, volunteer: Person
) -> None:
    store = Supplier.objects.get()
    own = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), number="3"))
    with pytest.raises(BadInput, match="no open bill"):
        pay_supplier_bill(by=owner, supplier=store, receipts=[own], amount=m("20.00"), on=DAY)
    with pytest.raises(BadInput, match="before the bill"):
        pay_supplier_bill(by=owner, supplier=store, receipts=bills, amount=m("372.40"), on=date(2026, 3, 1))
    with pytest.raises(BadInput, match="Choose the bills"):
        pay_supplier_bill(by=owner, supplier=store, receipts=[], amount=m("0.00"), on=DAY)
    with pytest.raises(NotAllowed):
        pay_supplier_bill(by=volunteer, supplier=store, receipts=bills, amount=m("372.40"), on=DAY)
