"""Petty cash is kept at a fixed sum; a top-up is what was spent and what was found missing."""

from datetime import date, timedelta

import pytest
from django.db.models import Max

from fund.access.models import Person
from fund.ledger.actions import add_purpose, post
from fund.ledger.models import Line
from fund.ledger.queries import balance
from fund.ledger.rules import EntryDraft, cr, dr
from fund.refusal import BadInput, NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from fund.repayments.actions_petty import count_petty_cash, set_petty_cash, top_up_petty_cash
from fund.repayments.models import PettyCashCount, PettyCashFloat
from fund.repayments.queries import petty_cash
from tests.fund.receipts.makers import bought, entry_lines, line, m, paper

DAY = date(2026, 3, 12)


def _spend(by: Person, amount: str, what: str, home: str = "supplies") -> None:
    bought(by, paper(by, amount, "0.00", line(what, amount, home), number=what, tender="petty_cash"))


def test_the_published_petty_cash_of_seventy_five(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None
) -> None:
    """OpenStax, Principles of Accounting vol. 1, 8.4: a fund of 75; 30, 10 and 5 spent, so 30 left; brought back by 45.

    A count that finds 25 in place of 30 is 5 short. Raised to 100: 25 more. Cash 50 with receipts of 15 and 10 is 75.
    """
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("75.00"), on=date(2026, 3, 2))
    _spend(volunteer, "30.00", "stamps", "admin")
    _spend(volunteer, "10.00", "milk")
    _spend(volunteer, "5.00", "window cleaner")
    assert petty_cash().held == m("30.00")
    assert petty_cash().top_up == m("45.00")
    count = count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("25.00"), on=DAY)
    assert sorted(entry_lines(count.entry_id)) == [("1020", "-5.00", "", ""), ("5320", "5.00", "", "")]
    bank_before = balance("1000")
    top_up = top_up_petty_cash(by=treasurer, on=DAY)
    assert entry_lines(top_up.number) == [("1020", "50.00", "", ""), ("1000", "-50.00", "", "")]
    assert (petty_cash().held, bank_before - balance("1000")) == (m("75.00"), m("50.00"))
    raised = set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=DAY)
    assert entry_lines(raised.entry_id) == [("1020", "25.00", "", ""), ("1000", "-25.00", "", "")]
    assert (petty_cash().float, petty_cash().held) == (m("100.00"), m("100.00"))


def test_cash_and_receipts_are_the_float(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None
) -> None:
    """OpenStax, Principles of Accounting vol. 1, 8.4: cash 50 + receipts 15 + 10 = 75."""
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("75.00"), on=date(2026, 3, 2))
    _spend(volunteer, "15.00", "tape")
    _spend(volunteer, "10.00", "rags")
    count = count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("50.00"), on=DAY)
    assert (count.expected, count.entry) == (m("50.00"), None)


def test_it_takes_two_people_to_count(volunteer: Person, bank: None) -> None:
    with pytest.raises(TwoPeopleNeeded, match="count petty cash"):
        count_petty_cash(by=volunteer, seen_by=volunteer, counted=m("0.00"), on=DAY)
    assert PettyCashCount.objects.count() == 0


def test_a_full_box_an_unset_box_and_a_lowered_empty_box_are_refused(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    with pytest.raises(NotReady, match="Set the sum"):
        top_up_petty_cash(by=treasurer, on=DAY)
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    with pytest.raises(NotReady, match="nothing to top up"):
        top_up_petty_cash(by=treasurer, on=DAY)
    with pytest.raises(BadInput, match="kept at 100.00 already"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=DAY)
    _spend(volunteer, "90.00", "tape")
    with pytest.raises(NotReady, match="holds 10.00"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("50.00"), on=DAY)


def test_a_day_to_come_a_sum_below_zero_and_a_volunteer_are_refused(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    with pytest.raises(BadInput, match="still to come"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("75.00"), on=date(2026, 3, 16))
    with pytest.raises(BadInput, match="0.00 or more"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("-1.00"), on=DAY)
    with pytest.raises(NotAllowed):
        set_petty_cash(by=volunteer, seen_by=treasurer, amount=m("75.00"), on=DAY)


def test_a_count_from_before_the_last_move_is_compared_with_nothing(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None
) -> None:
    """A count of 97.00 on the 4th, when the books held 97.00, would be 30.00 over beside today's box."""
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    _spend(volunteer, "3.00", "stamps", "admin")
    last = Line.objects.filter(account="1020").aggregate(last=Max("document_date"))["last"]
    with pytest.raises(
        BadInput, match="1990-11-10 is before 2025-03-01, the first day that these books take"
    ):
        count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("97.00"), on=date(1990, 11, 10))
    for day in (date(2025, 11, 10), last - timedelta(days=1)):
        with pytest.raises(NotReady, match=f"moved or was counted on {last} already, so a count of {day}"):
            count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("97.00"), on=day)
    assert count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("97.00"), on=DAY).entry is None
    with pytest.raises(NotReady, match=f"counted on {DAY} already"):
        count_petty_cash(by=volunteer, seen_by=volunteer2, counted=m("90.00"), on=DAY - timedelta(days=1))


def test_a_count_far_from_the_books_says_why(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None
) -> None:
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    both = {"by": volunteer, "seen_by": volunteer2, "on": DAY}
    for counted in ("5000.00", "94.99", "105.01"):
        with pytest.raises(BadInput, match="the books hold 100.00. Count once more"):
            count_petty_cash(counted=m(counted), note=" ", **both)  # type: ignore[arg-type]
    assert PettyCashCount.objects.count() == 0
    found = count_petty_cash(counted=m("94.99"), note="a receipt blew away", **both)  # type: ignore[arg-type]
    assert (found.counted - found.expected, balance("5320")) == (m("-5.01"), m("5.01"))


def test_it_takes_two_people_to_move_money_into_the_box(
    treasurer: Person, screener: Person, bank: None
) -> None:
    with pytest.raises(TwoPeopleNeeded, match="between the bank account and petty cash"):
        set_petty_cash(by=treasurer, seen_by=treasurer, amount=m("75.00"), on=DAY)
    with pytest.raises(NotAllowed):
        set_petty_cash(by=treasurer, seen_by=screener, amount=m("75.00"), on=DAY)
    assert (PettyCashFloat.objects.count(), balance("1020")) == (0, m("0.00"))


def test_the_box_is_not_filled_with_money_that_the_bank_does_not_have(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    with pytest.raises(NotEnoughMoney, match="holds 10,000.00 for general use; 9,999,999.00 cannot leave it"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("9999999.00"), on=DAY)
    set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=date(2026, 3, 2))
    _spend(volunteer, "3.00", "stamps", "admin")
    gone = [dr("5300", m("9900.00")), cr("1000", m("9900.00"))]
    post(by=treasurer, draft=EntryDraft("by hand", DAY, "Rent", gone))
    with pytest.raises(NotEnoughMoney, match="holds 0.00 for general use; 3.00 cannot leave it"):
        top_up_petty_cash(by=treasurer, on=DAY)


def test_restricted_money_in_the_bank_fills_no_box(treasurer: Person, volunteer: Person) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires", giver_words="For tires only, please.")
    lines = [dr("1000", m("300.00"), purpose="tires"), cr("4010", m("300.00"), purpose="tires")]
    post(by=treasurer, draft=EntryDraft("gift", date(2026, 3, 1), "For tires", lines))
    with pytest.raises(NotEnoughMoney, match="holds 0.00 for general use"):
        set_petty_cash(by=treasurer, seen_by=volunteer, amount=m("100.00"), on=DAY)
