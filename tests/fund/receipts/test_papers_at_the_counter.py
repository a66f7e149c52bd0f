"""Lost, late, handwritten and second papers; freight, discounts, deposits without an old unit.

Limits and amounts are common practice without a source unless a name stands beside them.
"""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.commitments.actions import begin_again, end_cost_object
from fund.commitments.queries import open_for
from fund.ledger.actions import close_month
from fund.ledger.queries import cost_of
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_takeback import recover_paid_twice
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.proofs import breaks
from fund.receipts.rules_counter import MissingLimits, missing_refusal, quarter_of
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_petty import set_petty_cash
from tests.fund.receipts.makers import booked, bought, entry_lines, line, m, paper

DAY = date(2026, 3, 10)
Repair = Callable[..., str]
ClientFor = Callable[[Person], Client]


def _lost(by: Person, amount: str, number: str = "", **more: object) -> Receipt:
    part = line("hose", amount, ("part", "RO-0001"))
    how = "blew out of the van; the card slip shows the amount"
    data = paper(by, amount, "0.00", part, number=number, missing=True, missing_how=how, **more)
    return save_draft(by=by, data=data)


def test_a_lost_receipt_is_posted_by_an_approver_who_is_not_the_claimant(
    volunteer: Person, treasurer: Person, repair: Repair
) -> None:
    repair()
    draft = _lost(volunteer, "24.80")
    with pytest.raises(NotReady, match="owner or the treasurer looks at the signed statement"):
        post_receipt(by=volunteer, receipt=draft)
    posted = post_receipt(by=treasurer, receipt=draft)
    assert booked(posted) == [("5000", "24.80", "RO-0001", ""), ("2010", "-24.80", "", "tavi")]
    assert (posted.missing, posted.approved_by) == (True, treasurer)
    with pytest.raises(TwoPeopleNeeded):
        post_receipt(by=treasurer, receipt=_lost(treasurer, "5.00"))


def test_lost_receipts_have_limits_each_in_a_quarter_and_for_ever(
    volunteer: Person, treasurer: Person, owner: Person, repair: Repair
) -> None:
    repair()
    with pytest.raises(NotReady, match="above 25.00: the owner decides"):
        post_receipt(by=treasurer, receipt=_lost(volunteer, "25.01"))
    post_receipt(by=owner, receipt=_lost(volunteer, "75.00"))
    with pytest.raises(NotReady, match="75.01 without a receipt is above 75.00, the most the fund ever pays"):
        post_receipt(by=owner, receipt=_lost(volunteer, "75.01"))
    post_receipt(by=treasurer, receipt=_lost(volunteer, "10.00"))
    with pytest.raises(NotReady, match="purchase number 3 without a receipt in this quarter; 2 is the most"):
        post_receipt(by=owner, receipt=_lost(volunteer, "1.00"))


def test_a_quarter_is_three_months_of_the_calendar() -> None:
    assert quarter_of(date(2026, 3, 31)) == (date(2026, 1, 1), date(2026, 4, 1))
    assert quarter_of(date(2026, 12, 1)) == (date(2026, 10, 1), date(2027, 1, 1))
    limits = MissingLimits(m("25.00"), 2, m("75.00"))
    assert missing_refusal(m("25.00"), 1, limits, owner=False) == ""


def test_a_lost_receipt_says_how_it_was_lost(volunteer: Person, repair: Repair) -> None:
    repair()
    data = paper(volunteer, "5.00", "0.00", line("hose", "5.00", ("part", "RO-0001")), missing=True)
    with pytest.raises(BadInput, match="how the receipt was lost"):
        save_draft(by=volunteer, data=data)


def test_a_second_copy_found_after_it_was_paid_back_is_owed_by_the_buyer(
    volunteer: Person, treasurer: Person, owner: Person, repair: Repair
) -> None:
    belt = line("belt", "48.71", ("part", repair()))
    first = bought(volunteer, paper(volunteer, "48.71", "0.00", belt))
    second = bought(volunteer, paper(volunteer, "48.71", "0.00", belt, number="4471b"))
    for receipt in (first, second):
        paid = prepare_repayment(papers_seen=True, by=treasurer, person=volunteer, receipts=[receipt], on=DAY)
        release_repayment(by=owner, repayment=paid)
    entry = recover_paid_twice(by=treasurer, receipt=second, reason="the same paper as R-00001", on=DAY)
    assert entry_lines(entry.number) == [("1130", "48.71", "", "tavi"), ("5000", "-48.71", "RO-0001", "")]
    assert (cost_of("RO-0001"), open_for("RO-0001")) == (m("48.71"), m("451.29"))
    second.refresh_from_db()
    assert second.state == "reversed"
    with pytest.raises(NotReady):
        recover_paid_twice(by=treasurer, receipt=second, reason="again")


def test_a_receipt_of_a_closed_month_keeps_its_day_and_is_booked_in_the_open_one(
    volunteer: Person, treasurer: Person, repair: Repair
) -> None:
    repair()
    with clock.at(date(2026, 4, 9)):
        close_month(by=treasurer, month="2026-03")
        late = bought(
            volunteer, paper(volunteer, "86.60", "0.00", line("pads", "86.60", ("part", "RO-0001")))
        )
    assert late.entry is not None
    assert (late.entry.document_date, late.entry.month, late.entry.later_change) == (
        date(2026, 3, 3), "2026-04", True,
    )  # fmt: skip
    assert booked(late) == [("5000", "86.60", "RO-0001", ""), ("2010", "-86.60", "", "tavi")]


def test_a_receipt_older_than_sixty_days_is_for_the_owner_to_decide(
    volunteer: Person, owner: Person, repair: Repair
) -> None:
    """60 days: 26 CFR 1.62-2(g)(2)(i), the safe time for substantiating an expense (written for employees)."""
    repair()
    part = line("hose", "20.00", ("part", "RO-0001"))
    old = {"on": date(2026, 1, 13), "number": "1"}
    draft = save_draft(by=volunteer, data=paper(volunteer, "20.00", "0.00", part, **old))
    with pytest.raises(NotReady, match="61 days old; after 60 days the owner decides"):
        post_receipt(by=volunteer, receipt=draft)
    with pytest.raises(NotReady, match="Say on the receipt why it is late"):
        post_receipt(by=owner, receipt=draft)
    told = paper(volunteer, "20.00", "0.00", part, late_reason="found in the van", **old)
    posted = post_receipt(by=owner, receipt=save_draft(by=volunteer, data=told, receipt=draft))
    assert booked(posted) == [("5000", "20.00", "RO-0001", ""), ("2010", "-20.00", "", "tavi")]
    within = paper(volunteer, "20.00", "0.00", part, on=date(2026, 1, 14), number="2")
    assert bought(volunteer, within).state == "posted"


def test_a_part_bought_after_the_hand_back_is_stopped(
    volunteer: Person, owner: Person, repair: Repair
) -> None:
    repair()
    end_cost_object(by=owner, cost_object="RO-0001", reason="handed back", on=date(2026, 3, 5))
    part = line("hose", "20.00", ("part", "RO-0001"))
    with pytest.raises(NotReady, match="RO-0001 ended on 2026-03-05, before this was bought on 2026-03-06"):
        bought(volunteer, paper(volunteer, "20.00", "0.00", part, on=date(2026, 3, 6)))
    assert bought(volunteer, paper(volunteer, "20.00", "0.00", part, on=date(2026, 3, 5))).state == "posted"


@pytest.mark.parametrize(
    ("home", "tender", "account"), [("comeback", "own_money", "5060"), ("part", "supplier_bill", "5000")]
)
def test_a_comeback_and_a_bill_on_account_come_later_with_a_reason(
    home: str, tender: str, account: str, volunteer: Person, owner: Person, repair: Repair
) -> None:
    repair()
    end_cost_object(by=owner, cost_object="RO-0001", reason="handed back", on=date(2026, 3, 5))
    part = line("hose", "20.00", (home, "RO-0001"))
    later = {"on": date(2026, 3, 6), "tender": tender}
    with pytest.raises(BadInput, match="Say on the receipt why this comes later"):
        bought(volunteer, paper(volunteer, "20.00", "0.00", part, **later))
    told = paper(volunteer, "20.00", "0.00", part, late_reason="hose split again", number="2", **later)
    assert booked(bought(volunteer, told))[0] == (account, "20.00", "RO-0001", "")


def test_supplies_come_at_any_time_and_work_that_goes_on_is_bought_for_again(
    volunteer: Person, owner: Person, repair: Repair
) -> None:
    repair()
    end_cost_object(by=owner, cost_object="RO-0001", reason="handed back", on=date(2026, 3, 5))
    rags = paper(volunteer, "9.00", "0.00", line("rags", "9.00", "supplies"), on=DAY, number="1")
    assert booked(bought(volunteer, rags))[0] == ("5200", "9.00", "", "")
    begin_again(by=owner, cost_object="RO-0001", reason="hand-back taken back", on=DAY)
    part = line("hose", "20.00", ("part", "RO-0001"))
    assert bought(volunteer, paper(volunteer, "20.00", "0.00", part, on=DAY, number="2")).state == "posted"


def test_freight_is_spread_by_value_like_the_tax(volunteer: Person, repair: Repair) -> None:
    """Freight 12.00 over 80.00, 45.00 and 24.00 of 149.00: 6.44, 3.63 and 1.93 (largest remainder)."""
    a, b = repair("RO-0001"), repair("RO-0002")
    data = paper(
        volunteer, "161.00", "0.00", line("pads", "80.00", ("part", a)), line("belt", "45.00", ("part", b)),
        line("bulbs", "24.00", "shelf", quantity=6000), freight=m("12.00"),
    )  # fmt: skip
    assert booked(bought(volunteer, data)) == [
        ("5000", "86.44", "RO-0001", ""),
        ("5000", "48.63", "RO-0002", ""),
        ("1200", "25.93", "", ""),
        ("2010", "-161.00", "", "tavi"),
    ]
    assert (ShelfLot.objects.get().cost, breaks()) == (m("25.93"), [])


def test_a_discount_on_the_whole_paper_lowers_each_line_but_no_deposit(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(
        volunteer, "145.00", "0.00", line("alternator", "75.00", ("part", repair())),
        line("belt", "25.00", ("part", "RO-0001")), line("core", "55.00", ("core", "RO-0001")), discount=m("10.00"),
    )  # fmt: skip
    assert [row[:2] for row in booked(bought(volunteer, data))] == [
        ("5000", "67.50"), ("5000", "22.50"), ("1110", "55.00"), ("2010", "-145.00"),
    ]  # fmt: skip
    assert breaks() == []


def test_a_staff_discount_of_the_buyer_books_what_was_paid(volunteer: Person, repair: Repair) -> None:
    data = paper(volunteer, "64.00", "0.00", line("pads", "64.00", ("part", repair())), note="list 80.00")
    assert booked(bought(volunteer, data))[0] == ("5000", "64.00", "RO-0001", "")


def test_a_used_part_bought_with_cash_needs_a_photo_and_a_witness(
    volunteer: Person, volunteer2: Person, treasurer: Person, repair: Repair, client_for: ClientFor
) -> None:
    repair()
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    mirror = line("used mirror", "35.00", ("part", "RO-0001"), condition="used")
    scribble = {"tender": "petty_cash", "number": "", "store": "Old Quay Salvage"}
    draft = save_draft(by=volunteer, data=paper(volunteer, "35.00", "0.00", mirror, **scribble))
    with pytest.raises(NotReady, match="a photo of bill and part, and a second person"):
        post_receipt(by=volunteer, receipt=draft)
    photo = Attachment.objects.create(
        code="F-90001", kind="jpeg", path="x", sha256="0", upload_sha256="0", size=1, name="bill.jpg",
        power="receipt.see", subject=draft.code, uploaded_by=volunteer, uploaded_at=clock.now(),
    )  # fmt: skip
    alone = paper(volunteer, "35.00", "0.00", mirror, witness=volunteer, **scribble)
    with pytest.raises(TwoPeopleNeeded):
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=alone, receipt=draft, photo=photo))
    seen = paper(volunteer, "35.00", "0.00", mirror, witness=volunteer2, **scribble)
    draft = save_draft(by=volunteer, data=seen, receipt=draft)
    with pytest.raises(NotReady, match="Jun Okafor saw it paid, so R-00001 is posted by them"):
        post_receipt(by=volunteer, receipt=draft)
    shown = reverse("receipts:receipt", args=[draft.code])
    assert "Post $35.00" not in client_for(volunteer).get(shown).text
    assert "receipt that you saw paid waits for you" in client_for(volunteer2).get("/crew/").text
    assert "Post $35.00" in client_for(volunteer2).get(shown).text
    posted = post_receipt(by=volunteer2, receipt=draft)
    assert booked(posted) == [("5000", "35.00", "RO-0001", ""), ("1020", "-35.00", "", "")]


def test_a_deposit_without_an_old_unit_is_a_cost_from_the_start(volunteer: Person, repair: Repair) -> None:
    data = paper(volunteer, "55.00", "0.00", line("core, no old unit", "55.00", ("no_core", repair())))
    assert booked(bought(volunteer, data)) == [
        ("5000", "55.00", "RO-0001", ""),
        ("2010", "-55.00", "", "tavi"),
    ]
    assert (CoreDeposit.objects.count(), open_for("RO-0001")) == (0, m("445.00"))


def test_one_order_charged_in_two_shipments_is_two_receipts_each_with_its_own_day_and_tax(
    volunteer: Person, repair: Repair
) -> None:
    repair()
    order = {"store": "Northside Counter", "number": "W-88"}
    first = paper(
        volunteer, "27.16", "1.66", line("sensor", "20.00", ("part", "RO-0001")), freight=m("5.50"), **order
    )
    rest = paper(
        volunteer, "43.30", "3.30", line("valve", "40.00", ("part", "RO-0001")), on=date(2026, 3, 9), **order
    )
    assert [booked(bought(volunteer, data))[0][:2] for data in (first, rest)] == [
        ("5000", "27.16"), ("5000", "43.30"),
    ]  # fmt: skip


def test_fees_go_with_their_part_and_tools_and_pickup_are_no_cost_of_a_repair(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(
        volunteer, "164.42", "0.00", line("tires", "110.00", ("part", repair())),
        line("tire disposal", "5.00", ("part", "RO-0001"), taxable=False), line("socket", "38.00", "tool"),
        line("oil pickup", "11.42", "supplies"),
    )  # fmt: skip
    assert [row[:3] for row in booked(bought(volunteer, data))[:-1]] == [
        ("5000", "110.00", "RO-0001"), ("5000", "5.00", "RO-0001"), ("5210", "38.00", ""), ("5200", "11.42", ""),
    ]  # fmt: skip
