"""Petty cash is kept at a fixed sum; a top-up is what was spent and what was found missing."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.ledger.queries import balance
from fund.refusal import BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.repayments.actions_petty import count_petty_cash, set_petty_cash, top_up_petty_cash
from fund.repayments.models import PettyCashCount
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
    set_petty_cash(by=treasurer, amount=m("75.00"), on=date(2026, 3, 2))
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
    raised = set_petty_cash(by=treasurer, amount=m("100.00"), on=DAY)
    assert entry_lines(raised.entry_id) == [("1020", "25.00", "", ""), ("1000", "-25.00", "", "")]
    assert (petty_cash().float, petty_cash().held) == (m("100.00"), m("100.00"))


def test_cash_and_receipts_are_the_float(
    volunteer: Person, volunteer2: Person, treasurer: Person, bank: None
) -> None:
    """OpenStax, Principles of Accounting vol. 1, 8.4: cash 50 + receipts 15 + 10 = 75."""
    set_petty_cash(by=treasurer, amount=m("75.00"), on=date(2026, 3, 2))
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
    set_petty_cash(by=treasurer, amount=m("100.00"), on=date(2026, 3, 2))
    with pytest.raises(NotReady, match="nothing to top up"):
        top_up_petty_cash(by=treasurer, on=DAY)
    with pytest.raises(BadInput, match="kept at 100.00 already"):
        set_petty_cash(by=treasurer, amount=m("100.00"), on=DAY)
    _spend(volunteer, "90.00", "tape")
    with pytest.raises(NotReady, match="holds 10.00"):
        set_petty_cash(by=treasurer, amount=m("50.00"), on=DAY)


def test_a_day_to_come_a_sum_below_zero_and_a_volunteer_are_refused(
    volunteer: Person, treasurer: Person, bank: None
) -> None:
    with pytest.raises(BadInput, match="still to come"):
        set_petty_cash(by=treasurer, amount=m("75.00"), on=date(2026, 3, 16))
    with pytest.raises(BadInput, match="0.00 or more"):
        set_petty_cash(by=treasurer, amount=m("-1.00"), on=DAY)
    with pytest.raises(NotAllowed):
        set_petty_cash(by=volunteer, amount=m("75.00"), on=DAY)
