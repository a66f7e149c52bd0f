"""A whole textbook ledger, from its entries to its trial balance and the errors its differences point to.

Source: OpenStax, Principles of Accounting vol. 1, sections 3.5, 3.6, 4.4 and 4.5 (Printing Plus, January 2019;
CC BY-NC-SA 4.0): the figures only. Its accounts are played by accounts of our chart of the same kind.
"""

from datetime import date

import pytest

from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.queries import balance, balances, trial_balance
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money, total

CASH, RECEIVABLE, SUPPLIES, EQUIPMENT, DIVIDENDS = "1000", "1120", "1140", "1200", "3010"
PAYABLE, UNEARNED, STOCK, REVENUE, SALARIES, UTILITY = "2000", "2050", "3000", "4000", "5020", "5500"
INTEREST_DUE, DEPRECIATION, SALARIES_DUE, WEAR, USED, INTEREST = (
    "1130",
    "1105",
    "2010",
    "5210",
    "5200",
    "4060",
)

JANUARY = [
    (3, CASH, STOCK, 20_000),
    (5, EQUIPMENT, PAYABLE, 3_500),
    (9, CASH, UNEARNED, 4_000),
    (10, RECEIVABLE, REVENUE, 5_500),
    (12, UTILITY, CASH, 300),
    (14, DIVIDENDS, CASH, 100),
    (17, CASH, REVENUE, 2_800),
    (18, PAYABLE, CASH, 3_500),
    (20, SALARIES, CASH, 3_600),
    (23, CASH, RECEIVABLE, 5_500),
    (27, RECEIVABLE, REVENUE, 1_200),
    (30, SUPPLIES, PAYABLE, 500),
]
ADJUSTMENTS = [
    (31, INTEREST_DUE, INTEREST, 140),
    (31, USED, SUPPLIES, 100),
    (31, WEAR, DEPRECIATION, 75),
    (31, SALARIES, SALARIES_DUE, 1_500),
    (31, UNEARNED, REVENUE, 600),
]


def play(by: Person, rows: list[tuple[int, str, str, int]]) -> None:
    for day, debit, credit, dollars in rows:
        amount = Money(dollars * 100)
        post(
            by=by,
            draft=EntryDraft(
                "example", date(2019, 1, day), "Example", [dr(debit, amount), cr(credit, amount)]
            ),
        )


def dollars(*amounts: int) -> list[Money]:
    return [Money(amount * 100) for amount in amounts]


@pytest.fixture
def january(treasurer: Person) -> None:
    play(treasurer, JANUARY)


def test_cash_runs_as_printed(january: None) -> None:
    days = [3, 9, 12, 14, 17, 18, 20, 23]
    printed = dollars(20_000, 24_000, 23_700, 23_600, 26_400, 22_900, 19_300, 24_800)
    assert [balance(CASH, until=date(2019, 1, day)) for day in days] == printed


def test_the_trial_balance_is_the_printed_one(january: None) -> None:
    rows = trial_balance()
    debits = {row.account.code: row.debit for row in rows if row.debit}
    credits = {row.account.code: row.credit for row in rows if row.credit}
    codes = (CASH, RECEIVABLE, SUPPLIES, EQUIPMENT, DIVIDENDS, SALARIES, UTILITY)
    printed = dollars(24_800, 1_200, 500, 3_500, 100, 3_600, 300)
    assert debits == dict(zip(codes, printed, strict=True))
    assert credits == dict(
        zip((PAYABLE, UNEARNED, STOCK, REVENUE), dollars(500, 4_000, 20_000, 9_500), strict=True)
    )
    assert total(debits.values()) == total(credits.values()) == Money(34_000_00)


def test_the_adjusted_trial_balance_and_net_income(january: None, treasurer: Person) -> None:
    play(treasurer, ADJUSTMENTS)
    rows = trial_balance()
    assert total(row.debit for row in rows) == total(row.credit for row in rows) == Money(35_715_00)
    income = -total(amount for (code, _), amount in balances().items() if code[0] == "4")
    expense = total(amount for (code, _), amount in balances().items() if code[0] == "5")
    assert (income, expense, income - expense) == tuple(dollars(10_240, 5_575, 4_665))
