"""A receipt is booked whole or not at all: costs to repairs, stock to the shelf, deposits as receivables."""

from collections.abc import Callable
from datetime import date

import pytest

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.chart import GENERAL
from fund.ledger.models import Entry, Line
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.proofs import breaks
from fund.receipts.queries import papers_like
from fund.refusal import AlreadyDone, BadInput, NotEnoughMoney
from fund.repayments.actions_petty import set_petty_cash
from tests.fund.receipts.makers import booked, bought, line, m, paper, went_into

Repair = Callable[..., str]


def test_one_receipt_for_two_repairs_and_the_shelf(volunteer: Person, repair: Repair) -> None:
    """Common practice, no source: 80.00, 45.00, 24.00 and tax 12.29, paid with the volunteer's own money."""
    a, b = repair("RO-0001"), repair("RO-0002")
    data = paper(
        volunteer,
        "161.29",
        "12.29",
        line("front pads", "80.00", ("part", a)),
        line("belt", "45.00", ("part", b)),
        line("bulbs", "24.00", "shelf", quantity=6000),
    )
    receipt = bought(volunteer, data)
    assert booked(receipt) == [
        ("5000", "86.60", "RO-0001", ""),
        ("5000", "48.71", "RO-0002", ""),
        ("1200", "25.98", "", ""),
        ("2010", "-161.29", "", "tavi"),
    ]
    assert (receipt.state, receipt.owed) == ("posted", m("161.29"))
    assert (open_for(a), open_for(b)) == (m("413.40"), m("451.29"))
    assert cost_of(a) == m("86.60")
    lot = ShelfLot.objects.get()
    assert (lot.code, lot.item, lot.left_quantity, lot.left_cost) == ("L-0001", "bulbs", 6000, m("25.98"))
    assert breaks() == []


def test_a_core_paid_with_a_part_is_a_deposit_and_no_cost(volunteer: Person, repair: Repair) -> None:
    """Alternator 214.99 + tax 17.74, core 55.00 without tax, on the fund's card (common practice, no source)."""
    b = repair("RO-0002")
    data = paper(
        volunteer,
        "287.73",
        "17.74",
        line("alternator", "214.99", ("part", b), condition="reman"),
        line("core alternator", "55.00", ("core", b), taxable=False),
        tender="fund_card",
    )
    receipt = bought(volunteer, data)
    assert booked(receipt) == [
        ("5000", "232.73", "RO-0002", ""),
        ("1110", "55.00", "RO-0002", ""),
        ("1000", "-287.73", "", ""),
    ]
    assert cost_of(b) == m("232.73")
    assert open_for(b) == m("267.27")
    core = CoreDeposit.objects.get()
    assert (core.code, core.amount, core.due_on) == ("K-0001", m("55.00"), date(2026, 4, 2))
    assert went_into(b) == [("alternator", 1000, "232.73")]


def test_a_taxed_core_is_held_with_its_tax(volunteer: Person, repair: Repair) -> None:
    data = paper(volunteer, "59.54", "4.54", line("core", "55.00", ("core", repair())))
    bought(volunteer, data)
    assert CoreDeposit.objects.get().amount == m("59.54")


def test_nine_of_twelve_quarts_to_the_job_three_to_the_shelf(volunteer: Person, repair: Repair) -> None:
    """Hose 58.75, coolant 113.88, sender 41.20, tax 17.64 of which 4.85, 9.39 and 3.40 (common practice)."""
    c = repair("RO-0003")
    data = paper(
        volunteer,
        "231.47",
        "17.64",
        line("hose kit", "58.75", ("part", c)),
        line("coolant", "113.88", ("fluid", c), ("shelf", None, 3000), quantity=12000, unit="quart"),
        line("temperature sender", "41.20", ("part", c)),
    )
    receipt = bought(volunteer, data)
    assert [str(row.tax_share) for row in receipt.lines.all()] == ["4.85", "9.39", "3.40"]
    assert cost_of(c) == m("200.65")
    assert (balance("1200"), balance("5010")) == (m("30.82"), m("92.45"))
    lot = ShelfLot.objects.get()
    assert (lot.quantity, lot.unit) == (3000, "quart")


def test_personal_things_bought_with_own_money_are_not_paid(volunteer: Person, repair: Repair) -> None:
    data = paper(
        volunteer,
        "64.95",
        "4.95",
        line("pads", "40.00", ("part", repair())),
        line("gloves for myself", "20.00", "personal"),
    )
    receipt = bought(volunteer, data)
    assert booked(receipt) == [("5000", "43.30", "RO-0001", ""), ("2010", "-43.30", "", "tavi")]
    assert receipt.owed == m("43.30")


def test_personal_things_on_the_funds_card_are_owed_by_the_buyer(volunteer: Person, repair: Repair) -> None:
    data = paper(
        volunteer,
        "64.95",
        "4.95",
        line("pads", "40.00", ("part", repair())),
        line("snack", "20.00", "personal"),
        tender="fund_card",
    )
    receipt = bought(volunteer, data)
    assert booked(receipt) == [
        ("5000", "43.30", "RO-0001", ""),
        ("1130", "21.65", "", "tavi"),
        ("1000", "-64.95", "", ""),
    ]


@pytest.mark.parametrize(
    ("tender", "credit"),
    [
        ("own_money", ("2010", "-20.00", "", "tavi")),
        ("fund_card", ("1000", "-20.00", "", "")),
        ("bank_transfer", ("1000", "-20.00", "", "")),
        ("petty_cash", ("1020", "-20.00", "", "")),
        ("supplier_bill", ("2000", "-20.00", "", "Gantry Parts")),
    ],
)
def test_what_paid_decides_the_credit(
    tender: str, credit: tuple[str, str, str, str], volunteer: Person, treasurer: Person, bank: None
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    data = paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), tender=tender)
    assert booked(bought(volunteer, data))[-1] == credit


@pytest.mark.parametrize(
    ("home", "account"),
    [("supplies", "5200"), ("tool", "5210"), ("admin", "5500"), ("shelf", "1200"), ("core", "1110")],
)
def test_each_home_has_its_account(home: str, account: str, volunteer: Person, bank: None) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("thing", "20.00", home)))
    assert booked(receipt)[0][:2] == (account, "20.00")


@pytest.mark.parametrize(("home", "account"), [("outside", "5020"), ("comeback", "5060"), ("fluid", "5010")])
def test_each_home_of_a_repair_has_its_account(
    home: str, account: str, volunteer: Person, repair: Repair
) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("thing", "20.00", (home, repair()))))
    assert booked(receipt)[0][:3] == (account, "20.00", "RO-0001")


def test_sums_that_differ_leave_a_draft_and_nothing_in_the_books(volunteer: Person, repair: Repair) -> None:
    data = paper(
        volunteer,
        "164.29",
        "12.29",
        line("pads", "125.00", ("part", repair())),
        line("bulbs", "24.00", "shelf"),
    )
    draft = save_draft(by=volunteer, data=data)
    before = Line.objects.count()
    with pytest.raises(BadInput) as refused:
        post_receipt(by=volunteer, receipt=draft)
    assert refused.value.sentence == (
        "Lines 149.00 + tax 12.29 = 161.29, the receipt says 164.29: 3.00 unexplained. A disposal fee?"
    )
    assert Receipt.objects.get().state == "draft"
    assert Line.objects.count() == before


def test_a_receipt_of_no_lines_and_one_of_untaxed_lines_with_tax_are_refused(
    volunteer: Person, bank: None
) -> None:
    with pytest.raises(BadInput, match="has no lines yet"):
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=paper(volunteer, "20.00", "0.00")))
    data = paper(volunteer, "20.00", "1.00", line("rags", "19.00", "supplies", taxable=False))
    with pytest.raises(BadInput, match="no line is marked as taxed"):
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))


def test_everything_personal_is_refused(volunteer: Person, bank: None) -> None:
    data = paper(volunteer, "20.00", "0.00", line("snack", "20.00", "personal"))
    with pytest.raises(BadInput, match="personal"):
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))


def test_a_cost_above_the_approval_and_its_tolerance_stops_the_whole_receipt(
    volunteer: Person, repair: Repair
) -> None:
    """Approved 400.00 with a tolerance of 40.00: 440.00 passes, 465.00 does not (common practice)."""
    a = repair("RO-0001", "400.00", "40.00")
    data = paper(
        volunteer, "485.00", "0.00", line("pump", "465.00", ("part", a)), line("bulbs", "20.00", "shelf")
    )
    draft = save_draft(by=volunteer, data=data)
    entries = Entry.objects.count()
    with pytest.raises(NotEnoughMoney, match="440.00 is the most"):
        post_receipt(by=volunteer, receipt=draft)
    assert (Receipt.objects.get().state, Entry.objects.count(), ShelfLot.objects.count()) == (
        "draft",
        entries,
        0,
    )
    within = paper(volunteer, "440.00", "0.00", line("pump", "440.00", ("part", a)), number="4472")
    assert bought(volunteer, within).state == "posted"


def test_the_same_paper_twice_is_refused_unless_a_reason_is_given(
    volunteer: Person, volunteer2: Person, bank: None
) -> None:
    data = paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"))
    bought(volunteer, data)
    again = paper(volunteer2, "20.00", "0.00", line("rags", "20.00", "supplies"))
    with pytest.raises(AlreadyDone, match="is R-00001 already, entered by Tavi Brandt"):
        post_receipt(by=volunteer2, receipt=save_draft(by=volunteer2, data=again))
    honest = paper(
        volunteer2,
        "20.00",
        "0.00",
        line("rags", "20.00", "supplies"),
        duplicate_reason="sent back for a second box",
    )
    receipt = bought(volunteer2, honest)
    assert receipt.duplicate_reason == "sent back for a second box"


@pytest.mark.parametrize(
    "change", [{"number": "4472"}, {"on": date(2026, 3, 4)}, {"store": "Northside Counter"}]
)
def test_another_number_day_or_store_is_another_paper(
    change: dict[str, object], volunteer: Person, bank: None
) -> None:
    bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    assert bought(
        volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), **change)
    ).entry


@pytest.mark.parametrize("number", ["04471", "INV 4471", "no. 4-471", "", "Receipt #0004471"])
def test_a_number_written_another_way_or_left_out_is_asked_about(
    number: str, volunteer: Person, bank: None
) -> None:
    bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    again = paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), number=number)
    draft = save_draft(by=volunteer, data=again)
    with pytest.raises(AlreadyDone, match="number 4471, 2026-03-03, 20.00 is R-00001 already"):
        post_receipt(by=volunteer, receipt=draft)
    assert [row.code for row in papers_like("gantry parts", number, draft.on, draft.total, draft.pk)] == [
        "R-00001"
    ]


def test_posting_twice_posts_once(volunteer: Person, bank: None) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    with pytest.raises(AlreadyDone, match="posted before"):
        post_receipt(by=volunteer, receipt=receipt)


def test_petty_cash_is_spent_only_as_far_as_it_reaches(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("15.00"), on=date(2026, 3, 2))
    data = paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), tender="petty_cash")
    with pytest.raises(NotEnoughMoney, match="Petty cash holds 15.00"):
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))


def test_the_books_carry_the_date_of_the_paper(volunteer: Person, bank: None) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    assert receipt.entry is not None
    assert receipt.entry.document_date == date(2026, 3, 3)
    assert receipt.entry.source == "R-00001"
    assert set(Line.objects.filter(entry=receipt.entry).values_list("purpose", flat=True)) == {GENERAL}
