"""A core ends in one of four ways; what a repair's parts cost never moves."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.ledger.actions import close_month
from fund.ledger.queries import balance
from fund.receipts.actions_bills import pay_supplier_bill
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_takeback import take_back
from fund.receipts.models import CoreDeposit, Receipt
from fund.receipts.proofs import breaks
from fund.receipts.queries import money_at_store
from fund.receipts.queries_returns import bill_left
from fund.receipts.queries_statement import explanations
from fund.receipts.rules_shelf import core_warning, days_left
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 10)


@pytest.fixture
def core(volunteer: Person, repair: Callable[..., str]) -> CoreDeposit:
    """A reman alternator with its core of 55.00, bought on the fund's card for one repair."""
    b = repair("RO-0002")
    data = paper(
        volunteer,
        "287.73",
        "17.74",
        line("alternator", "214.99", ("part", b)),
        line("core alternator", "55.00", ("core", b), taxable=False),
        tender="fund_card",
    )
    bought(volunteer, data)
    return CoreDeposit.objects.get()


def test_all_of_it_back_moves_no_cost(core: CoreDeposit, volunteer: Person) -> None:
    back = return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full")
    assert entry_lines(back.entry_id) == [("1000", "55.00", "", ""), ("1110", "-55.00", "RO-0002", "")]
    assert (balance("5000"), balance("1110")) == (m("232.73"), m("0.00"))
    assert breaks() == []


def test_a_refund_after_the_month_was_closed_is_a_later_month_and_no_income(
    core: CoreDeposit, volunteer: Person, treasurer: Person
) -> None:
    with clock.at(date(2026, 5, 8)):
        for month in ("2026-03", "2026-04"):
            close_month(by=treasurer, month=month)
        back = return_core(by=volunteer, core=core, amount_back=m("55.00"), on=date(2026, 5, 7), kind="full")
    assert entry_lines(back.entry_id) == [("1000", "55.00", "", ""), ("1110", "-55.00", "RO-0002", "")]
    assert (back.entry.month, balance("5000")) == ("2026-05", m("232.73"))


def test_a_refused_core_is_lost_and_named_after_its_repair(core: CoreDeposit, volunteer: Person) -> None:
    back = return_core(by=volunteer, core=core, amount_back=m("0.00"), on=DAY, kind="refused")
    assert entry_lines(back.entry_id) == [("5040", "55.00", "RO-0002", ""), ("1110", "-55.00", "RO-0002", "")]


def test_part_of_it_back_loses_the_rest(core: CoreDeposit, volunteer: Person) -> None:
    back = return_core(by=volunteer, core=core, amount_back=m("30.00"), on=DAY, kind="part")
    assert entry_lines(back.entry_id) == [
        ("1000", "30.00", "", ""),
        ("5040", "25.00", "RO-0002", ""),
        ("1110", "-55.00", "RO-0002", ""),
    ]


def test_a_refund_to_a_volunteers_card_is_owed_by_them(core: CoreDeposit, volunteer: Person) -> None:
    back = return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="crew", person=volunteer
    )
    assert entry_lines(back.entry_id)[0] == ("1130", "55.00", "", "tavi")


def test_store_credit_is_money_and_can_be_spent_at_that_store_alone(
    core: CoreDeposit, volunteer: Person
) -> None:
    return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="store_credit")
    assert money_at_store("Gantry Parts") == m("55.00")
    rags = line("rags", "40.00", "supplies")
    with pytest.raises(Exception, match="Millrace Tire owes the fund 0.00 in store credit"):
        bought(
            volunteer,
            paper(volunteer, "40.00", "0.00", rags, tender="store_credit", store="Millrace Tire", number="1"),
        )
    bought(volunteer, paper(volunteer, "40.00", "0.00", rags, tender="store_credit", number="2"))
    assert money_at_store("Gantry Parts") == m("15.00")


@pytest.mark.parametrize(
    ("kind", "back", "words"),
    [
        ("full", "54.00", "All of it back means 55.00"),
        ("part", "55.00", "less than 55.00"),
        ("part", "0.00", "more than 0.00"),
        ("refused", "1.00", "brings nothing back"),
        ("lapsed", "1.00", "brings nothing back"),
        ("full", "56.00", "56.00 cannot come back"),
        ("lost", "0.00", "how the core ended"),
    ],
)
def test_an_amount_that_does_not_fit_is_refused(
    kind: str, back: str, words: str, core: CoreDeposit, volunteer: Person
) -> None:
    with pytest.raises(BadInput, match=words):
        return_core(by=volunteer, core=core, amount_back=m(back), on=DAY, kind=kind)
    assert balance("1110") == m("55.00")


def test_a_core_ends_once(core: CoreDeposit, volunteer: Person) -> None:
    return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full")
    with pytest.raises(AlreadyDone, match="K-0001 has ended before"):
        return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full")


@pytest.mark.parametrize("day", [date(2026, 3, 2), date(2026, 3, 16)])
def test_a_day_before_it_was_bought_or_still_to_come_is_refused(
    day: date, core: CoreDeposit, volunteer: Person
) -> None:
    with pytest.raises(BadInput, match="it cannot have come back"):
        return_core(by=volunteer, core=core, amount_back=m("55.00"), on=day, kind="full")


def test_only_those_with_the_power_return_cores(core: CoreDeposit, accountant: Person) -> None:
    with pytest.raises(NotAllowed):
        return_core(by=accountant, core=core, amount_back=m("55.00"), on=DAY, kind="full")


@pytest.mark.parametrize(
    ("due", "words"),
    [
        (date(2026, 4, 2), "18 days left"),
        (date(2026, 3, 22), "7 days left, plan the trip"),
        (date(2026, 3, 16), "1 day left, bring it back now"),
        (date(2026, 3, 15), "today, bring it back now"),
        (date(2026, 3, 14), "1 day late"),
        (date(2026, 3, 10), "5 days late"),
    ],
)
def test_the_clock_of_a_core_speaks_in_words(due: date, words: str) -> None:
    assert core_warning(days_left(due, date(2026, 3, 15))) == words


def _on_account(volunteer: Person, repair: Callable[..., str]) -> tuple[CoreDeposit, Receipt]:
    """A reman part of 91.14 and its core of 55.00 on the store's account, 146.14 together."""
    job = repair("RO-0003")
    data = paper(
        volunteer, "146.14", "0.00", line("reman caliper", "91.14", ("part", job)),
        line("core caliper", "55.00", ("core", job)), tender="supplier_bill",
    )  # fmt: skip
    return CoreDeposit.objects.get(portion__line__receipt=(bill := bought(volunteer, data))), bill


def test_a_core_credited_on_the_account_leaves_less_of_the_bill_to_pay(
    volunteer: Person, treasurer: Person, repair: Callable[..., str]
) -> None:
    core, bill = _on_account(volunteer, repair)
    assert any(core.code in told for told in explanations(core.store, m("-55.00")))
    back = return_core(
        by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="bill", bill=bill
    )
    assert entry_lines(back.entry_id) == [
        ("2000", "55.00", "", "Gantry Parts"),
        ("1110", "-55.00", "RO-0003", ""),
    ]
    assert bill_left(bill) == m("91.14")
    with pytest.raises(NotReady, match="has been returned|was set against"):
        take_back(by=treasurer, receipt=bill, reason="wrong")
    paid = pay_supplier_bill(by=treasurer, supplier=bill.supplier, receipts=[bill], amount=m("91.14"), on=DAY)
    assert entry_lines(paid.entry_id)[0] == ("2000", "91.14", "", "Gantry Parts")
    assert (balance("2000"), balance("1110"), breaks()) == (m("0.00"), m("0.00"), [])


def test_a_core_is_set_against_an_open_bill_of_its_own_store_only(
    core: CoreDeposit, volunteer: Person, repair: Callable[..., str]
) -> None:
    data = paper(
        volunteer, "20.00", "0.00", line("rags", "20.00", "supplies"), store="Northside Counter", tender="supplier_bill"
    )  # fmt: skip
    other = bought(volunteer, data)
    with pytest.raises(BadInput, match="is a bill of Northside Counter"):
        return_core(
            by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="bill", bill=other
        )
    with pytest.raises(BadInput, match="Say which bill"):
        return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="bill")


def test_cash_for_a_core_goes_into_petty_cash(core: CoreDeposit, volunteer: Person) -> None:
    back = return_core(by=volunteer, core=core, amount_back=m("55.00"), on=DAY, kind="full", to="petty_cash")
    assert entry_lines(back.entry_id)[0] == ("1020", "55.00", "", "")


def test_the_page_sets_a_core_against_a_bill(
    volunteer: Person, repair: Callable[..., str], client_for: Callable[[Person], Client]
) -> None:
    core, bill = _on_account(volunteer, repair)
    client, address = client_for(volunteer), reverse("shelf:return", args=[core.code])
    typed = {"kind": "full", "to": "bill", "on": "2026-03-10"}
    assert f"{bill.code} of 2026-03-03, Gantry Parts: 146.14" in client.get(address).content.decode()
    assert "Say which bill." in client.post(address, typed).content.decode()
    asked = client.post(address, {**typed, "bill": bill.pk}).content.decode()
    assert f"55.00 less is to pay of {bill.code}." in asked
    client.post(address, {**typed, "bill": bill.pk, "confirm": "yes"})
    assert "not paid yet: 91.14 of 146.14" in client.get(f"/crew/receipts/{bill.code}/").content.decode()
    assert f">{bill.code}</a>" in client.get(reverse("shelf:core", args=[core.code])).content.decode()
