"""Returns, issues, counts and payments are written once; the database refuses to change or delete them."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from fund.access.models import Person
from fund.receipts.actions_bills import pay_supplier_bill
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import count_shelf, issue_from_shelf
from fund.receipts.models import BillPayment, CoreDeposit, CoreReturn, ShelfCount, ShelfIssue, ShelfLot
from fund.repayments.actions_petty import count_petty_cash, set_petty_cash
from fund.repayments.models import PettyCashCount, PettyCashFloat
from tests.fund.receipts.makers import bought, line, m, paper

DAY = date(2026, 3, 10)


@pytest.fixture
def room(
    volunteer: Person, volunteer2: Person, treasurer: Person, owner: Person, repair: Callable[..., str]
) -> None:
    data = paper(
        volunteer,
        "75.00",
        "0.00",
        line("core", "55.00", ("core", repair())),
        line("bulbs", "20.00", "shelf", quantity=4000),
        tender="supplier_bill",
    )
    bill = bought(volunteer, data)
    issue_from_shelf(by=volunteer, item="bulbs", quantity=1000, cost_object="RO-0001", on=DAY)
    count_shelf(by=volunteer, lot=ShelfLot.objects.get(), counted_quantity=2000, on=DAY)
    return_core(by=volunteer, core=CoreDeposit.objects.get(), amount_back=m("55.00"), on=DAY, kind="full")
    pay_supplier_bill(by=owner, supplier=bill.supplier, receipts=[bill], amount=m("75.00"), on=DAY)
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=DAY)
    count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("100.00"), on=DAY)


@pytest.mark.parametrize(
    "model",
    [BillPayment, CoreReturn, ShelfIssue, ShelfCount, PettyCashFloat, PettyCashCount],
    ids=lambda x: x.__name__,
)
def test_the_database_refuses_to_change_or_delete(model: Any, room: None) -> None:
    assert model.objects.count() == 1
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        model.objects.update(on=date(2026, 3, 11))
    with pytest.raises(DatabaseError), transaction.atomic():
        model.objects.all()._raw_delete(model.objects.db)
    assert model.objects.get().on == DAY
