"""Pay as told becomes a year's income without any rounding."""

from fractions import Fraction

import pytest

from fund.money import Money, parse_money
from fund.refusal import BadInput
from jobs.eligibility.rules_income import annual, annual_income, monthly, step
from jobs.households.rules import IncomeFacts


def pay(amount: str, period: str, **more: int) -> IncomeFacts:
    return IncomeFacts(kind="pay", period=period, amount=parse_money(amount), **more)  # type: ignore[arg-type]


# Published worked examples; the source stands beside each. Amounts a year in dollars.
PUBLISHED = [
    pytest.param(
        [pay("548.00", "two weeks")],
        "14248.00",
        id="five stubs of 548 every two weeks: 'Methods for calculating annualized income' (WIA/WIOA guide)",
    ),
    pytest.param(
        [
            pay("550.00", "twice a month"),
            IncomeFacts(kind="child support", period="monthly", amount=Money(10_000)),
            pay("250.00", "weekly", weeks=40),
        ],
        "24400.00",
        id="HUD Technical Guide for Determining Income and Allowances (HOME), exhibit 3.6",
    ),
    pytest.param(
        [
            pay("5.00", "hourly", hours=2400),
            IncomeFacts(kind="other", period="weekly", amount=Money(22_000)),  # tips: 55 a night, four nights
            pay("6.50", "hourly", hours=4000, weeks=6),
            pay("6.75", "hourly", hours=4000, weeks=46),
            IncomeFacts(kind="benefit", period="yearly", amount=Money(720_000)),
        ],
        "38860.00",
        id="HUD Technical Guide for Determining Income and Allowances (HOME), exhibit 3.5",
    ),
    pytest.param(
        [pay("15000.00", "year to date", weeks_so_far=26)],
        "30000.00",
        id="How to annualize five types of employment income (Tax Credit Housing Insider), year to date",
    ),
    # A housing program's income worksheet, dublinhabitat.com:
    pytest.param([pay("2400.00", "monthly")], "28800.00", id="dublinhabitat.com income sheet, monthly"),
    pytest.param(
        [pay("900.00", "twice a month")], "21600.00", id="dublinhabitat.com income sheet, twice a month"
    ),
    pytest.param(
        [pay("900.00", "two weeks")], "23400.00", id="dublinhabitat.com income sheet, every two weeks"
    ),
    pytest.param([pay("600.00", "weekly")], "31200.00", id="dublinhabitat.com income sheet, weekly"),
    pytest.param(
        [pay("14.50", "hourly", hours=4000)], "30160.00", id="dublinhabitat.com income sheet, 2,080 hours"
    ),
    pytest.param(
        [pay("14.50", "hourly", hours=3750)], "28275.00", id="dublinhabitat.com income sheet, 37.5 hours"
    ),
]


@pytest.mark.parametrize(("incomes", "year"), PUBLISHED)
def test_published_examples_come_out_to_the_cent(incomes: list[IncomeFacts], year: str) -> None:
    assert annual_income(incomes) == parse_money(year).minor


def test_the_published_monthly_figure_of_two_weekly_pay_is_the_true_one() -> None:
    # Missouri Family Support Division manual 0410.015.05.05 prints 563.33 for 260 every two weeks: 260 x 26 / 12.
    assert monthly(annual(pay("260.00", "two weeks"))) == Money(56_333)
    # The Dublin sheet prints 2,600 a month for 900 every two weeks; 23,400 / 12 is 1,950.
    assert monthly(annual(pay("900.00", "two weeks"))) == Money(195_000)


def test_six_months_of_the_first_example_is_half_a_year() -> None:
    # Same guide: 13 x 548 = 7,124 for six months.
    assert annual(pay("548.00", "two weeks", weeks=26)) == 712_400


def test_a_year_to_date_sum_that_does_not_divide_stays_exact() -> None:
    income = pay("100.00", "year to date", weeks_so_far=3)
    assert annual(income) == Fraction(10_000, 3) * 52
    assert "about 1,733.33" in step(income).text


def test_the_worksheet_line_can_be_redone_on_paper() -> None:
    line = step(pay("14.50", "hourly", hours=3750)).text
    assert line == "Person 1, pay from a job: 14.50 an hour × 37.5 hours a week × 52 weeks = 28,275.00"


@pytest.mark.parametrize(
    ("income", "words"),
    [
        (IncomeFacts(kind="pay", period="monthly", amount=Money(-500)), "below zero"),
        (pay("10.00", "hourly"), "needs the hours a week"),
        (pay("10.00", "hourly", hours=20_000), "168"),
        (pay("10.00", "hourly", hours=0), "more than 0"),
        (pay("10.00", "monthly", hours=4000), "Hours a week belong"),
        (pay("10.00", "weekly", weeks=0), "from 1 to 52"),
        (pay("10.00", "weekly", weeks=53), "from 1 to 52"),
        (pay("10.00", "monthly", weeks=30), "sum of the year"),
        (pay("10.00", "year to date"), "number of weeks it covers"),
        (pay("10.00", "year to date", weeks_so_far=0), "from 1 to 52"),
        (pay("10.00", "weekly", weeks_so_far=5), "so far this year"),
        (pay("10.00", "daily"), "how often it comes"),
        (IncomeFacts(kind="loot", period="weekly", amount=Money(1)), "what kind of income"),
    ],
)
def test_an_income_that_cannot_be_worked_out_is_refused_in_words(income: IncomeFacts, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        annual(income)
