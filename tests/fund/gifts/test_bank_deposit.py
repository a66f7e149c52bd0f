from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import bank_deposit, count_cash
from fund.gifts.models import CashCount, Deposit, Gift
from fund.ledger.actions import add_purpose
from fund.ledger.queries import balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.gifts.files import lines_of

ON = date(2026, 3, 12)


@pytest.fixture
def counted(volunteer: Person, volunteer2: Person) -> CashCount:
    return count_cash(
        by=volunteer, second=volunteer2, on=date(2026, 3, 10), place="jar", denominations={2000: 3, 100: 4}
    )


@pytest.fixture
def check(treasurer: Person) -> Gift:
    add_purpose(by=treasurer, code="tires", name="Tires")
    return record_gift(
        by=treasurer,
        kind="check",
        received_on=date(2026, 3, 11),
        amount=Money(15000),
        supporter=add_supporter(by=treasurer, name="Ada Moss"),
        check_number="7",
        purpose="tires",
    )


def test_a_deposit_is_the_sum_of_what_it_names_within_each_purpose(
    treasurer: Person, counted: CashCount, check: Gift
) -> None:
    deposit = bank_deposit(by=treasurer, on=ON, counts=[counted], gifts=[check])
    assert str(deposit.total) == "214.00"
    assert lines_of(deposit.entry) == [
        ("1000", "general", "64.00", ""),
        ("1010", "general", "-64.00", ""),
        ("1000", "tires", "150.00", ""),
        ("1010", "tires", "-150.00", ""),
    ]
    assert balance("1010") == Money.zero


def test_what_is_banked_is_banked_once(treasurer: Person, counted: CashCount, check: Gift) -> None:
    bank_deposit(by=treasurer, on=ON, counts=[counted])
    with pytest.raises(AlreadyDone, match="C-0001 was banked on 2026-03-12 with D-0001. Nothing was posted."):
        bank_deposit(by=treasurer, on=ON, counts=[counted], gifts=[check])
    assert Deposit.objects.count() == 1
    assert str(balance("1010")) == "150.00"


def test_nothing_is_banked_before_it_came_in(treasurer: Person, counted: CashCount) -> None:
    with pytest.raises(BadInput, match="C-0001 came in on 2026-03-10, after the deposit of 2026-03-09"):
        bank_deposit(by=treasurer, on=date(2026, 3, 9), counts=[counted])
    with pytest.raises(BadInput, match="2026-03-16 is after today"):
        bank_deposit(by=treasurer, on=date(2026, 3, 16), counts=[counted])


def test_an_empty_deposit_and_what_was_never_cash_are_refused(
    treasurer: Person, counted: CashCount, check: Gift
) -> None:
    with pytest.raises(BadInput, match="Choose the counts and checks that go to the bank"):
        bank_deposit(by=treasurer, on=ON)
    transfer = record_gift(
        by=treasurer, kind="transfer", received_on=ON, amount=Money(100), supporter=check.supporter
    )
    for gift in (transfer, Gift.objects.get(count=counted)):
        with pytest.raises(BadInput, match="is neither a check nor cash with a receipt"):
            bank_deposit(by=treasurer, on=ON, gifts=[gift])


def test_those_who_count_do_not_bank(volunteer: Person, counted: CashCount) -> None:
    with pytest.raises(NotAllowed, match="Only a treasurer may bank cash and checks"):
        bank_deposit(by=volunteer, on=ON, counts=[counted])
