"""A receipt entered wrongly is taken back by a reversing entry, as long as nothing was done with it since."""

from collections.abc import Callable
from datetime import date

import pytest

from fund.access.models import Person
from fund.commitments.queries import allowance, open_for
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.actions_takeback import take_back
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.proofs import breaks
from fund.refusal import AlreadyDone, NotAllowed, NotReady
from fund.repayments.actions import prepare_repayment
from tests.fund.receipts.makers import bought, line, m, paper, went_into

DAY = date(2026, 3, 10)


@pytest.fixture
def receipt(volunteer: Person, repair: Callable[..., str]) -> Receipt:
    data = paper(
        volunteer,
        "175.00",
        "0.00",
        line("alternator", "100.00", ("part", repair())),
        line("core", "55.00", ("core", "RO-0001")),
        line("bulbs", "20.00", "shelf", quantity=4000),
    )
    return bought(volunteer, data)


def test_everything_it_did_is_undone_and_it_can_be_entered_anew(
    receipt: Receipt, volunteer: Person, treasurer: Person
) -> None:
    taken = take_back(by=treasurer, receipt=receipt, reason="wrong repair")
    assert taken.state == "reversed"
    assert [balance(code) for code in ("5000", "1110", "1200", "2010")] == [m("0.00")] * 4
    assert (cost_of("RO-0001"), open_for("RO-0001"), allowance("RO-0001").spent) == (
        m("0.00"),
        m("500.00"),
        m("0.00"),
    )
    assert (CoreDeposit.objects.count(), ShelfLot.objects.count(), went_into("RO-0001")) == (0, 0, [])
    assert breaks() == []
    again = paper(volunteer, "175.00", "0.00", line("alternator", "175.00", ("part", "RO-0001")))
    assert bought(volunteer, again).code == "R-00002"


def test_what_has_been_used_since_stays(receipt: Receipt, volunteer: Person, treasurer: Person) -> None:
    issue_from_shelf(by=volunteer, item="bulbs", quantity=1000, cost_object="RO-0001", on=DAY)
    with pytest.raises(NotReady, match="L-0001 of this receipt has been used"):
        take_back(by=treasurer, receipt=receipt, reason="wrong repair")


def test_a_returned_core_stays(receipt: Receipt, volunteer: Person, treasurer: Person) -> None:
    core = CoreDeposit.objects.get()
    return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full")
    with pytest.raises(NotReady, match="K-0001 of this receipt has been returned"):
        take_back(by=treasurer, receipt=receipt, reason="wrong repair")


def test_a_receipt_in_a_repayment_stays(receipt: Receipt, volunteer: Person, treasurer: Person) -> None:
    prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[receipt], on=DAY)
    with pytest.raises(NotReady, match="in a repayment"):
        take_back(by=treasurer, receipt=receipt, reason="wrong repair")


def test_a_draft_or_one_taken_back_before_is_refused(receipt: Receipt, treasurer: Person) -> None:
    take_back(by=treasurer, receipt=receipt, reason="wrong repair")
    with pytest.raises(AlreadyDone, match="nothing to take back"):
        take_back(by=treasurer, receipt=receipt, reason="wrong repair")


def test_who_enters_does_not_take_back(receipt: Receipt, volunteer: Person) -> None:
    with pytest.raises(NotAllowed, match="treasurer"):
        take_back(by=volunteer, receipt=receipt, reason="wrong repair")
