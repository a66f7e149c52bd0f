"""Mileage by the published rate, what is late, whose hands money goes through."""

from datetime import date

import pytest

from fund.money import Money
from fund.repayments.rules import (
    Hands,
    advances_left,
    expected_on,
    flag_of,
    mileage_amount,
    miles_text,
    set_against,
    why_not_prepare,
    why_not_release,
)
from tests.fund.receipts.makers import m

ONE_EACH = Hands("tavi", frozenset({"maren"}), frozenset({"odell"}))


@pytest.mark.parametrize(
    ("tenths", "rate", "amount"),
    [
        (370, 140, "5.18"),
        (400, 140, "5.60"),
        (370, 725, "26.83"),
        (10, 140, "0.14"),
        (1, 140, "0.01"),
    ],
)
def test_miles_at_the_published_rate(tenths: int, rate: int, amount: str) -> None:
    """IRS standard mileage rates for 2026: charitable 14 cents (Internal Revenue Code 170(i)), business 72.5 cents.

    37 miles are 5.18 at 14 cents, and 26.825 at 72.5, where half a cent goes up.
    """
    assert mileage_amount(tenths, rate) == m(amount)


def test_miles_read_as_typed() -> None:
    assert (miles_text(370), miles_text(375)) == ("37", "37.5")


@pytest.mark.parametrize(("days", "said"), [(60, ""), (61, "handed in after 61 days, may be taxable")])
def test_a_receipt_is_late_after_sixty_days(days: int, said: str) -> None:
    """The IRS's accountable-plan rules: expenses are proven within 60 days."""
    handed_in = date.fromordinal(date(2026, 1, 1).toordinal() + days)
    assert flag_of(date(2026, 1, 1), handed_in, 60, missing=False) == said


def test_a_missing_receipt_is_said_beside_its_amount() -> None:
    assert flag_of(date(2026, 1, 1), date(2026, 1, 2), 60, missing=True) == "no receipt"


def test_money_can_be_expected_a_fortnight_after_handing_in() -> None:
    """Common practice, no source: crew are paid weekly or every two weeks."""
    assert expected_on(date(2026, 3, 3), 14) == date(2026, 3, 17)


def test_an_advance_is_late_after_a_hundred_and_twenty_days() -> None:
    """The IRS's accountable-plan rules: what is left of an advance comes back within 120 days."""
    held = advances_left([("AD-0001", date(2026, 1, 1), m("200.00"))], m("38.71"))[0]
    assert held.over(date(2026, 5, 1), 120) == 0
    assert held.over(date(2026, 5, 2), 120) == 1


def test_receipts_clear_the_oldest_advance_first() -> None:
    given = [("AD-0001", date(2026, 1, 1), m("200.00")), ("AD-0002", date(2026, 2, 1), m("50.00"))]
    assert [(one.code, str(one.left)) for one in advances_left(given, m("88.71"))] == [
        ("AD-0001", "38.71"),
        ("AD-0002", "50.00"),
    ]
    assert [(one.code, str(one.left)) for one in advances_left(given, m("30.00"))] == [("AD-0002", "30.00")]
    assert advances_left(given, Money.zero) == []


def test_what_is_owed_to_the_fund_is_kept_before_the_advance() -> None:
    assert set_against(m("161.29"), m("55.00"), m("38.71")) == (m("55.00"), m("38.71"))
    assert set_against(m("40.00"), m("55.00"), m("38.71")) == (m("40.00"), m("0.00"))
    assert set_against(m("60.00"), m("55.00"), m("38.71")) == (m("55.00"), m("5.00"))
    assert set_against(m("60.00"), m("-5.00"), m("0.00")) == (m("0.00"), m("0.00"))


def test_the_claimant_neither_prepares_nor_releases() -> None:
    assert why_not_prepare("tavi", {"treasurer"}, ONE_EACH)
    assert why_not_release("tavi", {"owner"}, "odell", ONE_EACH)


def test_a_treasurer_prepares_and_an_owner_releases() -> None:
    assert why_not_prepare("odell", {"treasurer"}, ONE_EACH) == ""
    assert why_not_prepare("maren", {"owner"}, ONE_EACH)
    assert why_not_release("maren", {"owner"}, "odell", ONE_EACH) == ""
    assert why_not_release("petra", {"accountant"}, "odell", ONE_EACH)
    assert why_not_release("odell", {"treasurer", "owner"}, "odell", ONE_EACH)


def test_the_only_owners_own_claim_is_released_by_the_accountant() -> None:
    mine = Hands("maren", ONE_EACH.owners, ONE_EACH.treasurers)
    assert why_not_prepare("odell", {"treasurer"}, mine) == ""
    assert why_not_release("maren", {"owner"}, "odell", mine)
    assert why_not_release("petra", {"accountant"}, "odell", mine) == ""
    two_owners = Hands("maren", frozenset({"maren", "ines"}), ONE_EACH.treasurers)
    assert why_not_release("ines", {"owner"}, "odell", two_owners) == ""
    assert why_not_release("petra", {"accountant"}, "odell", two_owners)


def test_the_only_treasurers_own_claim_is_prepared_by_an_owner_and_released_by_the_accountant() -> None:
    theirs = Hands("odell", ONE_EACH.owners, ONE_EACH.treasurers)
    assert why_not_prepare("maren", {"owner"}, theirs) == ""
    assert why_not_release("maren", {"owner"}, "maren", theirs)
    assert why_not_release("petra", {"accountant"}, "maren", theirs) == ""
    two = Hands("odell", ONE_EACH.owners, frozenset({"odell", "ines"}))
    assert why_not_prepare("maren", {"owner"}, two)
