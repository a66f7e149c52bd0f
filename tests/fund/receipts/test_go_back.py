"""Parts that go back to a store or to the shelf: the repair is free of their cost, the store owes, nothing is lost unseen.

Amounts are common practice without a source unless a name stands beside them.
"""

from collections.abc import Callable
from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import allowance, open_for
from fund.ledger.actions import close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_bills import pay_supplier_bill
from fund.receipts.actions_claims import claim_tax, settle_claim
from fund.receipts.actions_returns import (
    book_rebate,
    replace_at_no_charge,
    return_to_shelf,
    return_to_store,
)
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import Receipt, ReceiptPortion, ShelfLot
from fund.receipts.models_returns import PartReturn
from fund.receipts.proofs import breaks
from fund.receipts.queries import money_at_store
from fund.receipts.queries_returns import claims, open_amount, store_credits
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 10)
Repair = Callable[..., str]


def _only(receipt: Receipt) -> ReceiptPortion:
    return ReceiptPortion.objects.get(line__receipt=receipt)


def _pump(by: Person, repair: str, amount: str = "120.00", **more: object) -> Receipt:
    return bought(by, paper(by, amount, "0.00", line("water pump", amount, ("part", repair)), **more))


def test_a_part_of_a_cancelled_job_goes_to_the_store_which_keeps_a_restocking_fee(
    volunteer: Person, repair: Repair
) -> None:
    receipt = _pump(volunteer, repair())
    claim = return_to_store(
        by=volunteer, portion=_only(receipt), quantity=1000, on=DAY, reason="job cancelled"
    )
    assert entry_lines(claim.entry_id) == [
        ("1100", "120.00", "RO-0001", "Gantry Parts"),
        ("5000", "-120.00", "RO-0001", ""),
    ]
    assert (cost_of("RO-0001"), open_for("RO-0001")) == (m("0.00"), m("500.00"))
    paid = settle_claim(by=volunteer, claim=claim, kind="bank", amount=m("96.00"), on=DAY)
    kept = settle_claim(by=volunteer, claim=claim, kind="kept", amount=m("24.00"), on=DAY)
    assert entry_lines(paid.entry_id) == [
        ("1000", "96.00", "", ""),
        ("1100", "-96.00", "RO-0001", "Gantry Parts"),
    ]
    assert entry_lines(kept.entry_id) == [
        ("5100", "24.00", "", ""),
        ("1100", "-24.00", "RO-0001", "Gantry Parts"),
    ]
    assert (balance("1100"), open_amount(claims().get())) == (m("0.00"), m("0.00"))
    assert breaks() == []


def test_a_part_of_a_cancelled_job_goes_to_the_shelf_at_what_it_cost_with_tax(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(volunteer, "129.90", "9.90", line("water pump", "120.00", ("part", repair())))
    portion = _only(bought(volunteer, data))
    lot = return_to_shelf(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="job cancelled")
    assert entry_lines(lot.entry_id) == [("1200", "129.90", "", ""), ("5000", "-129.90", "RO-0001", "")]
    assert (lot.left_cost, cost_of("RO-0001"), open_for("RO-0001")) == (m("129.90"), m("0.00"), m("500.00"))
    assert breaks() == []


def test_a_part_returned_in_the_next_month_lowers_the_cost_from_then_on(
    volunteer: Person, treasurer: Person, repair: Repair
) -> None:
    """Cost 182.29 as published; 21.65 of it comes back when the month is closed: 160.64 as now."""
    data = paper(
        volunteer,
        "182.29",
        "13.89",
        line("rotors", "148.40", ("part", repair())),
        line("clips", "20.00", ("part", "RO-0001")),
    )
    clips = ReceiptPortion.objects.get(line__receipt=bought(volunteer, data), line__text="clips")
    assert clips.amount == m("21.65")
    with clock.at(date(2026, 4, 8)):
        close_month(by=treasurer, month="2026-03")
        claim = return_to_store(
            by=volunteer, portion=clips, quantity=1000, on=date(2026, 4, 7), reason="not needed"
        )
    assert (claim.entry.month, cost_of("RO-0001")) == ("2026-04", m("160.64"))
    assert entry_lines(claim.entry_id) == [
        ("1100", "21.65", "RO-0001", "Gantry Parts"),
        ("5000", "-21.65", "RO-0001", ""),
    ]


def test_a_refund_as_store_credit_is_money_that_is_listed_and_spent(
    volunteer: Person, repair: Repair
) -> None:
    receipt = _pump(volunteer, repair(), "60.00")
    claim = return_to_store(by=volunteer, portion=_only(receipt), quantity=1000, on=DAY, reason="wrong part")
    credit = settle_claim(by=volunteer, claim=claim, kind="store_credit", amount=m("60.00"), on=DAY)
    assert entry_lines(credit.entry_id) == [
        ("1105", "60.00", "", "Gantry Parts"),
        ("1100", "-60.00", "RO-0001", "Gantry Parts"),
    ]
    assert [(row.store, row.amount) for row in store_credits()] == [("Gantry Parts", m("60.00"))]
    again = _pump(volunteer, "RO-0001", "60.00", number="4480", tender="store_credit")
    assert entry_lines(again.entry_id) == [
        ("5000", "60.00", "RO-0001", ""),
        ("1105", "-60.00", "", "Gantry Parts"),
    ]
    assert (money_at_store("Gantry Parts"), store_credits()) == (m("0.00"), [])


def test_a_mail_in_rebate_belongs_to_the_fund_and_lowers_the_cost_of_its_part(
    volunteer: Person, repair: Repair
) -> None:
    portion = _only(_pump(volunteer, repair()))
    rebate = book_rebate(by=volunteer, portion=portion, amount=m("15.00"), on=DAY, reason="mail-in")
    assert entry_lines(rebate.entry_id) == [("1000", "15.00", "", ""), ("5000", "-15.00", "RO-0001", "")]
    assert cost_of("RO-0001") == m("105.00")
    with pytest.raises(BadInput, match="at most what the part cost, 105.00"):
        book_rebate(by=volunteer, portion=portion, amount=m("105.01"), on=DAY, reason="mail-in")


def test_a_warranty_exchange_at_no_charge_moves_a_quantity_and_no_money(
    volunteer: Person, repair: Repair
) -> None:
    portion = _only(_pump(volunteer, repair()))
    row = replace_at_no_charge(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="seized")
    assert (row.entry, row.quantity, row.amount) == (None, 1000, m("0.00"))
    assert cost_of("RO-0001") == m("120.00")


def test_a_part_bought_again_under_warranty_is_credited_later(volunteer: Person, repair: Repair) -> None:
    data = paper(volunteer, "80.00", "0.00", line("water pump", "80.00", ("comeback", repair())))
    receipt = bought(volunteer, data)
    claim = return_to_store(
        by=volunteer, portion=_only(receipt), quantity=1000, on=DAY, reason="failed in a week", warranty=True
    )
    paid = settle_claim(by=volunteer, claim=claim, kind="bank", amount=m("80.00"), on=DAY)
    assert entry_lines(receipt.entry_id)[0] == ("5060", "80.00", "RO-0001", "")
    assert entry_lines(claim.entry_id) == [
        ("1120", "80.00", "RO-0001", "Gantry Parts"),
        ("5060", "-80.00", "RO-0001", ""),
    ]
    assert entry_lines(paid.entry_id) == [
        ("1000", "80.00", "", ""),
        ("1120", "-80.00", "RO-0001", "Gantry Parts"),
    ]
    assert (balance("5060"), cost_of("RO-0001")) == (m("0.00"), m("0.00"))


def test_a_defective_part_that_the_store_refuses_stays_a_cost_of_the_comeback(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(volunteer, "80.00", "0.00", line("water pump", "80.00", ("comeback", repair())))
    portion = _only(bought(volunteer, data))
    claim = return_to_store(
        by=volunteer, portion=portion, quantity=1000, on=DAY, reason="failed", warranty=True
    )
    refused = settle_claim(
        by=volunteer, claim=claim, kind="refused", amount=m("80.00"), on=DAY, note="no slip"
    )
    assert entry_lines(refused.entry_id) == [
        ("5060", "80.00", "RO-0001", ""),
        ("1120", "-80.00", "RO-0001", "Gantry Parts"),
    ]
    assert (cost_of("RO-0001"), allowance("RO-0001").spent) == (m("80.00"), m("80.00"))
    assert refused.note == "no slip"


def test_a_warranty_refused_on_stock_is_a_loss_and_no_cost_of_a_repair(volunteer: Person, bank: None) -> None:
    receipt = bought(volunteer, paper(volunteer, "24.00", "0.00", line("bulbs", "24.00", "shelf")))
    claim = return_to_store(
        by=volunteer, portion=_only(receipt), quantity=1000, on=DAY, reason="all dead", warranty=True
    )
    refused = settle_claim(by=volunteer, claim=claim, kind="refused", amount=m("24.00"), on=DAY)
    assert entry_lines(refused.entry_id) == [
        ("5100", "24.00", "", ""),
        ("1120", "-24.00", "", "Gantry Parts"),
    ]
    assert balance("5060") == m("0.00")


def test_tax_charged_though_exempt_is_claimed_and_leaves_the_repair(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(volunteer, "182.29", "13.89", line("pads and rotors", "168.40", ("part", repair())))
    receipt = bought(volunteer, data)
    claim = claim_tax(by=volunteer, receipt=receipt, on=DAY, note="certificate shown")
    assert entry_lines(claim.entry_id) == [
        ("1100", "13.89", "", "Gantry Parts"),
        ("5000", "-13.89", "RO-0001", ""),
    ]
    paid = settle_claim(by=volunteer, claim=claim, kind="bank", amount=m("13.89"), on=DAY)
    assert entry_lines(paid.entry_id) == [("1000", "13.89", "", ""), ("1100", "-13.89", "", "Gantry Parts")]
    assert (cost_of("RO-0001"), open_for("RO-0001")) == (m("168.40"), m("331.60"))
    with pytest.raises(AlreadyDone, match="claimed before"):
        claim_tax(by=volunteer, receipt=receipt, on=DAY, note="")
    assert breaks() == []


def test_a_supplier_refund_set_against_the_next_bill_leaves_less_to_pay(
    volunteer: Person, owner: Person, repair: Repair
) -> None:
    first = _pump(volunteer, repair(), "60.00")
    claim = return_to_store(by=volunteer, portion=_only(first), quantity=1000, on=DAY, reason="wrong part")
    bill = _pump(volunteer, "RO-0001", "200.00", number="4490", tender="supplier_bill")
    off = settle_claim(by=volunteer, claim=claim, kind="bill", amount=m("60.00"), on=DAY, bill=bill)
    assert entry_lines(bill.entry_id) == [
        ("5000", "200.00", "RO-0001", ""),
        ("2000", "-200.00", "", "Gantry Parts"),
    ]
    assert entry_lines(off.entry_id) == [
        ("2000", "60.00", "", "Gantry Parts"),
        ("1100", "-60.00", "RO-0001", "Gantry Parts"),
    ]
    with pytest.raises(BadInput, match="add up to 140.00, not 200.00"):
        pay_supplier_bill(by=owner, supplier=bill.supplier, receipts=[bill], amount=m("200.00"), on=DAY)
    pay_supplier_bill(by=owner, supplier=bill.supplier, receipts=[bill], amount=m("140.00"), on=DAY)
    assert balance("2000") == m("0.00")


def test_a_store_statement_that_is_more_than_its_papers_is_not_paid_until_they_are_found(
    volunteer: Person, owner: Person, repair: Repair
) -> None:
    """Statement 410.00, papers 372.40: 37.60 is missing."""
    repair()
    bills = [
        _pump(volunteer, "RO-0001", amount, number=number, tender="supplier_bill")
        for number, amount in (("1", "172.40"), ("2", "200.00"))
    ]
    with pytest.raises(BadInput, match=r"add up to 372.40, not 410.00: 37.60 apart"):
        pay_supplier_bill(by=owner, supplier=bills[0].supplier, receipts=bills, amount=m("410.00"), on=DAY)
    bills.append(_pump(volunteer, "RO-0001", "37.60", number="3", tender="supplier_bill"))
    paid = pay_supplier_bill(by=owner, supplier=bills[0].supplier, receipts=bills, amount=m("410.00"), on=DAY)
    assert entry_lines(paid.entry_id) == [
        ("2000", "410.00", "", "Gantry Parts"),
        ("1000", "-410.00", "", ""),
    ]


def test_stock_goes_back_to_its_store_out_of_its_own_lot(volunteer: Person, bank: None) -> None:
    data = paper(volunteer, "24.00", "0.00", line("bulbs", "24.00", "shelf", quantity=6000))
    receipt = bought(volunteer, data)
    claim = return_to_store(
        by=volunteer, portion=_only(receipt), quantity=2000, on=DAY, reason="wrong socket"
    )
    assert entry_lines(claim.entry_id) == [("1100", "8.00", "", "Gantry Parts"), ("1200", "-8.00", "", "")]
    assert ShelfLot.objects.get().left_quantity == 4000
    assert breaks() == []


def test_what_was_taken_from_the_shelf_and_not_used_comes_back_at_the_same_cost(
    volunteer: Person, repair: Repair
) -> None:
    repair()
    coolant = line("coolant", "123.27", "shelf", quantity=12000, unit="quart")
    bought(volunteer, paper(volunteer, "123.27", "0.00", coolant))
    issue = issue_from_shelf(by=volunteer, item="coolant", quantity=10000, cost_object="RO-0001", on=DAY)[0]
    lot = return_to_shelf(by=volunteer, issue=issue, quantity=1000, on=DAY, reason="one bottle unopened")
    assert entry_lines(lot.entry_id) == [("1200", "10.27", "", ""), ("5010", "-10.27", "RO-0001", "")]
    assert (cost_of("RO-0001") + balance("1200"), open_for("RO-0001")) == (m("123.27"), m("407.54"))
    assert breaks() == []


def test_no_more_goes_back_than_was_bought(volunteer: Person, repair: Repair) -> None:
    portion = _only(_pump(volunteer, repair()))
    return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong part")
    with pytest.raises(NotReady, match="0 can still go back, not 1"):
        return_to_shelf(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="again")
    assert PartReturn.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "home"),
    [("alignment", "outside"), ("oil disposal fee", "supplies"), ("garage insurance", "admin")],
)
def test_what_is_no_thing_cannot_lie_on_the_shelf(
    text: str, home: str, volunteer: Person, repair: Repair
) -> None:
    where = (home, repair()) if home == "outside" else home
    portion = _only(bought(volunteer, paper(volunteer, "60.00", "0.00", line(text, "60.00", where))))
    entries = Entry.objects.count()
    with pytest.raises(BadInput, match=f"“{text}” is no thing that can lie on a shelf"):
        return_to_shelf(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="not needed")
    assert (Entry.objects.count(), ShelfLot.objects.count()) == (entries, 0)
    assert return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="refund").amount


def test_a_core_deposit_does_not_go_back_as_a_part(volunteer: Person, repair: Repair) -> None:
    data = paper(volunteer, "55.00", "0.00", line("core", "55.00", ("core", repair())))
    with pytest.raises(BadInput, match="its own return"):
        return_to_store(
            by=volunteer, portion=_only(bought(volunteer, data)), quantity=1000, on=DAY, reason="back"
        )


def test_no_more_of_a_claim_ends_than_is_open(volunteer: Person, repair: Repair) -> None:
    portion = _only(_pump(volunteer, repair()))
    claim = return_to_store(by=volunteer, portion=portion, quantity=1000, on=DAY, reason="wrong part")
    settle_claim(by=volunteer, claim=claim, kind="bank", amount=m("100.00"), on=DAY)
    with pytest.raises(BadInput, match="20.00 is open, not 20.01"):
        settle_claim(by=volunteer, claim=claim, kind="kept", amount=m("20.01"), on=DAY)
