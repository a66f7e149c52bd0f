"""What comes after a month was closed, and what crew members come to owe: parts, cores and rebates, entry by entry."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.ledger.actions import close_month
from fund.ledger.models import Entry
from fund.ledger.queries import balance, cost_of
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_returns import book_rebate, replace_at_no_charge
from fund.receipts.models import CoreDeposit, CoreReturn, Receipt, ReceiptPortion
from fund.receipts.proofs import breaks
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_due import settle_due
from tests.fund.receipts.makers import booked, bought, entry_lines, line, m, paper

ClientFor = Callable[[Person], Client]
Repair = Callable[..., str]
DAY, LATER = date(2026, 3, 10), date(2026, 4, 8)


def _alternator(by: Person, repair: str) -> Receipt:
    return bought(
        by,
        paper(
            by, "287.73", "17.74", line("alternator", "214.99", ("part", repair), condition="reman"),
            line("alternator core", "55.00", ("core", repair), taxable=False), tender="fund_card",
        ),
    )  # fmt: skip


@pytest.fixture
def core(volunteer: Person, repair: Repair) -> CoreDeposit:
    return CoreDeposit.objects.get(portion__line__receipt=_alternator(volunteer, repair()))


def _entry(number: int) -> Entry:
    return Entry.objects.get(number=number)


@pytest.mark.parametrize(
    ("typed", "lines", "lost"),
    [
        ({"kind": "full"}, [("1000", "55.00", "", ""), ("1110", "-55.00", "RO-0001", "")], "0.00"),
        ({"kind": "refused", "note": "cracked"},
         [("5040", "55.00", "RO-0001", ""), ("1110", "-55.00", "RO-0001", "")], "55.00"),
        ({"kind": "part", "amount_back": "30.00"},
         [("1000", "30.00", "", ""), ("5040", "25.00", "RO-0001", ""), ("1110", "-55.00", "RO-0001", "")], "25.00"),
        ({"kind": "lapsed"}, [("5040", "55.00", "RO-0001", ""), ("1110", "-55.00", "RO-0001", "")], "55.00"),
    ],
)  # fmt: skip
def test_a_core_that_ends_after_the_month_was_closed_is_booked_in_the_open_one_and_moves_no_part(
    typed: dict[str, str],
    lines: list[tuple[str, ...]],
    lost: str,
    core: CoreDeposit,
    volunteer: Person,
    treasurer: Person,
    client_for: ClientFor,
) -> None:
    with clock.at(LATER):
        close_month(by=treasurer, month="2026-03")
        page = client_for(volunteer)
        address = reverse("shelf:return", args=[core.code])
        page.post(address, {"to": "bank", "on": "2026-04-08", "confirm": "yes", **typed})
    back = CoreReturn.objects.get()
    assert entry_lines(back.entry_id) == lines
    assert _entry(back.entry_id).month == "2026-04"
    # The part stays what it cost; only what the store kept is added, and none of it is income.
    assert (balance("5000"), cost_of("RO-0001")) == (m("232.73"), m("232.73") + m(lost))
    assert balance("4050") == m("0.00")
    assert breaks() == []


def test_a_core_refund_on_a_members_card_is_paid_back_into_the_bank(
    core: CoreDeposit, volunteer: Person, treasurer: Person
) -> None:
    return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="crew", person=volunteer
    )
    entry = settle_due(by=treasurer, person=volunteer, amount=m("55.00"), on=DAY)
    assert entry_lines(entry.number) == [("1000", "55.00", "", ""), ("1130", "-55.00", "", "tavi")]


def test_a_core_refund_on_a_members_card_is_netted_from_what_is_owed_to_them(
    core: CoreDeposit, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="crew", person=volunteer
    )
    belt = line("belt", "86.60", ("part", "RO-0001"))
    owed = bought(volunteer, paper(volunteer, "86.60", "0.00", belt, number="2"))
    paid = prepare_repayment(
        papers_seen=True, by=treasurer, person=volunteer, receipts=[owed], on=DAY, keep=True
    )
    done = release_repayment(by=owner, repayment=paid)
    assert entry_lines(done.entry_id) == [
        ("2010", "86.60", "", "tavi"),
        ("1130", "-55.00", "", "tavi"),
        ("1000", "-31.60", "", ""),
    ]


def test_a_rebate_that_comes_after_the_close_lowers_the_cost_in_the_month_it_came(
    core: CoreDeposit, volunteer: Person, treasurer: Person
) -> None:
    portion = ReceiptPortion.objects.get(home="part")
    with clock.at(LATER):
        close_month(by=treasurer, month="2026-03")
        rebate = book_rebate(
            by=volunteer, portion=portion, amount=m("15.00"), on=LATER, reason="loyalty points"
        )
    assert entry_lines(rebate.entry_id) == [("1000", "15.00", "", ""), ("5000", "-15.00", "RO-0001", "")]
    assert rebate.entry is not None
    assert (rebate.entry.month, cost_of("RO-0001")) == ("2026-04", m("217.73"))


def test_a_warranty_exchange_may_ask_for_a_new_core_deposit_which_is_no_cost(
    core: CoreDeposit, volunteer: Person
) -> None:
    part = ReceiptPortion.objects.get(home="part")
    replace_at_no_charge(by=volunteer, portion=part, quantity=1000, on=DAY, reason="no charge after a week")
    again = bought(
        volunteer,
        paper(volunteer, "55.00", "0.00", line("alternator core", "55.00", ("core", "RO-0001")), number="2"),
    )
    assert booked(again) == [("1110", "55.00", "RO-0001", ""), ("2010", "-55.00", "", "tavi")]
    assert (cost_of("RO-0001"), CoreDeposit.objects.count()) == (m("232.73"), 2)


def test_a_special_socket_bought_on_the_job_and_kept_is_a_tool_and_no_cost_of_it(
    volunteer: Person, bank: None
) -> None:
    socket = line("special socket", "38.00", "tool")
    assert booked(bought(volunteer, paper(volunteer, "38.00", "0.00", socket))) == [
        ("5210", "38.00", "", ""),
        ("2010", "-38.00", "", "tavi"),
    ]


def test_a_battery_fee_goes_with_its_part_and_a_general_oil_pickup_is_shop_waste(
    volunteer: Person, repair: Repair
) -> None:
    data = paper(
        volunteer, "149.00", "9.00", line("battery", "110.00", ("part", repair()), condition="new"),
        line("battery fee", "10.00", ("part", "RO-0001"), taxable=False),
        line("oil pickup", "20.00", "supplies", taxable=False), tender="fund_card",
    )  # fmt: skip
    assert booked(bought(volunteer, data)) == [
        ("5000", "119.00", "RO-0001", ""),
        ("5000", "10.00", "RO-0001", ""),
        ("5200", "20.00", "", ""),
        ("1000", "-149.00", "", ""),
    ]


def test_freight_and_tax_on_a_mixed_order_are_shared_each_by_value(volunteer: Person, repair: Repair) -> None:
    """149.00 of lines, freight 12.00, tax 12.29; shares by largest remainder, worked by hand.

    Freight 6.44, 3.63, 1.93 (of 6.4430, 3.6242, 1.9329); tax 6.60, 3.71, 1.98 (of 6.5987, 3.7117, 1.9796).
    """
    a, b = repair("RO-0001"), repair("RO-0002")
    data = paper(
        volunteer, "173.29", "12.29", line("pads", "80.00", ("part", a)), line("belt", "45.00", ("part", b)),
        line("bulbs", "24.00", "shelf"), freight=m("12.00"),
    )  # fmt: skip
    assert booked(bought(volunteer, data)) == [
        ("5000", "93.04", "RO-0001", ""),
        ("5000", "52.34", "RO-0002", ""),
        ("1200", "27.91", "", ""),
        ("2010", "-173.29", "", "tavi"),
    ]
