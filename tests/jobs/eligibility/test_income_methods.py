"""Published examples of turning pay into a month's or a year's income, each with its source and, where it errs, how."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.money import Money, parse_money
from fund.refusal import BadInput
from jobs.eligibility.rules_income import annual, annual_income, monthly_income, step
from jobs.eligibility.rules_methods import EXACT, Method, average
from jobs.households.rules import IncomeFacts

SNAP = Method("4.3 and 2.15")
MASSACHUSETTS = Method("4.333 and 2.167")
MISSOURI = Method("4.333 and 2.166")


def pay(
    amount: str, period: str, stubs: tuple[str, ...] = (), kind: str = "pay", **more: object
) -> IncomeFacts:
    read = tuple(parse_money(stub) for stub in stubs)
    return IncomeFacts(kind=kind, period=period, amount=parse_money(amount), stubs=read, **more)  # type: ignore[arg-type]


def cents(text: str) -> Fraction:
    return Fraction(parse_money(text).minor)


def test_five_equal_stubs_every_two_weeks() -> None:
    # "Methods for calculating annualized income" (WIOA): five stubs of 548.00, 26 x 548 = 14,248; 13 x 548 = 7,124.
    facts = pay("0", "two weeks", ("548",) * 5)
    assert annual(facts) == cents("14,248.00")
    assert annual(facts) / 2 == cents("7,124.00")


def test_unemployment_every_two_weeks_by_2_15() -> None:
    # Alaska SNAP manual 5160-5, example 1.
    assert monthly_income(pay("200", "two weeks", kind="benefit"), SNAP) == cents("430.00")


def test_weekly_pay_by_4_3() -> None:
    # Alaska SNAP manual 5160-5, example 2.
    assert monthly_income(pay("250", "weekly"), SNAP) == cents("1,075.00")


def test_three_stubs_are_averaged_before_the_factor() -> None:
    # Alaska SNAP manual 5160-5, B, example 1: (350 + 325 + 360) / 3 = 345; x 2.15.
    facts = pay("0", "two weeks", ("350", "325", "360"))
    assert average(facts.stubs, SNAP) == cents("345.00")
    assert monthly_income(facts, SNAP) == cents("741.75")
    assert step(facts, SNAP).text == (
        "Person 1, pay from a job: (350.00 + 325.00 + 360.00) ÷ 3 = 345.00 every two weeks × 2.15 = 741.75 a month, × 12 "
        "= 8,901.00"
    )


def test_missouri_prints_the_exact_figure_where_it_states_the_factor() -> None:
    # Missouri manual 0410.015.05.05 prints 563.33 as "260 x 2.166", but that is 563.16; 563.33 is 260 x 26 / 12.
    assert monthly_income(pay("260", "two weeks"), MISSOURI) == cents("563.16")
    assert monthly_income(pay("260", "two weeks"), replace(EXACT, rounding="to the cent")) == cents("563.33")


def test_whole_dollars_of_a_month() -> None:
    # A Missouri worksheet (studylib.net 8197386): 415 a week x 4.333 = 1,798.195, shown as 1,798.
    assert monthly_income(pay("415", "weekly"), MISSOURI) == Fraction("179819.5")
    assert monthly_income(pay("415", "weekly"), replace(MISSOURI, rounding="to the dollar")) == cents(
        "1,798.00"
    )


def test_child_support_and_school_weeks() -> None:
    # HUD Technical Guide for Determining Income and Allowances (HOME), exhibit 3.6: 24,400.
    told = [
        pay("550", "twice a month"),
        pay("100", "monthly", kind="child support"),
        pay("250", "weekly", weeks=40),
    ]
    assert [annual(facts) for facts in told] == [cents("13,200"), cents("1,200"), cents("10,000")]
    assert annual_income(told) == cents("24,400.00")


def test_tips_and_a_raise_within_the_year() -> None:
    # The same guide, exhibit 3.5: 6,240 + 11,440 + 1,560 + 12,420 + 7,200 = 38,860.
    told = [
        pay("5.00", "hourly", hours=2400),
        pay("220.00", "weekly"),  # tips: 55 a night, four nights
        pay("6.50", "hourly", hours=4000, weeks=6),
        pay("6.75", "hourly", hours=4000, weeks=46),
        pay("7200", "yearly", kind="benefit"),
    ]
    assert annual_income(told) == cents("38,860.00")


def test_a_sum_so_far_this_year() -> None:
    # taxcredithousinginsider.com, "How to annualize five types of employment income": 15,000 / 26 x 52 = 30,000.
    assert annual(pay("15000", "year to date", weeks_so_far=26)) == cents("30,000.00")


@pytest.mark.parametrize(
    ("facts", "year", "month"),
    [
        (pay("2400", "monthly"), "28,800", "2,400"),
        (pay("900", "twice a month"), "21,600", "1,800"),
        # The sheet prints 2,600 a month for the next line; 23,400 / 12 is 1,950.
        (pay("900", "two weeks"), "23,400", "1,950"),
        (pay("600", "weekly"), "31,200", "2,600"),
        (pay("14.50", "hourly", hours=4000), "30,160", "2,513.33"),
        (pay("14.50", "hourly", hours=3750), "28,275", "2,356.25"),
    ],
)
def test_a_housing_organizations_table(facts: IncomeFacts, year: str, month: str) -> None:
    # dublinhabitat.com, income worksheet.
    assert annual(facts) == cents(year)
    assert monthly_income(facts, replace(EXACT, rounding="to the cent")) == cents(month)


def test_the_same_wage_passes_by_one_family_and_fails_by_another() -> None:
    # 4.3 x 12 is 51.6 weeks: 1,000 a week is 51,600 by that family and 52,000 by x 52 (Alaska manual 5160-3 tells why).
    assert annual(pay("1000", "weekly"), SNAP) == cents("51,600.00")
    assert annual(pay("1000", "weekly"), MASSACHUSETTS) == cents("51,996.00")
    assert annual(pay("1000", "weekly"), EXACT) == cents("52,000.00")


def test_cents_are_dropped_of_each_pay_of_the_average_and_before_the_factor() -> None:
    # The three points named by Illinois, PM 11-02-04-a and 13-02-04; the amounts here are worked by hand.
    method = replace(SNAP, rounding="cents dropped")
    facts = pay(
        "0", "weekly", ("250.99", "251.99", "251.00")
    )  # 250, 251, 251: 752 / 3 = 250.67, 250 is multiplied
    assert monthly_income(facts, method) == cents("1,075.00")
    assert monthly_income(facts, SNAP) == (cents("753.98") / 3) * Fraction("4.3")
    assert (
        annual(pay("14.55", "hourly", hours=3750), method) == cents("545.00") * Fraction("4.3") * 12
    )  # 545.625 a week


def test_seasonal_pay_counts_its_own_weeks_by_every_method() -> None:
    for method in (EXACT, SNAP, MASSACHUSETTS):
        assert annual(pay("250", "weekly", weeks=40), method) == cents("10,000.00")
        assert annual(pay("1200", "monthly", months=5), method) == cents("6,000.00")


def test_a_business_counts_with_takings_less_costs() -> None:
    facts = IncomeFacts(
        kind="self-employed",
        period="profit and loss",
        amount=Money(9_000_00),
        costs=Money(5_400_00),
        months=6,
    )
    assert annual(facts) == cents("7,200.00")
    assert step(facts).text == (
        "Person 1, own business, after its costs: takings 9,000.00 less costs 5,400.00 = 3,600.00 in 6 months, ÷ 6 × 12 "
        "= 7,200.00"
    )


def test_a_loss_counts_as_nothing_and_lowers_no_other_income() -> None:
    loss = IncomeFacts(kind="self-employed", period="profit and loss", amount=Money(1), costs=Money(2))
    assert annual_income([loss, pay("100", "monthly")]) == cents("1,200.00")


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (pay("0", "yearly", ("1", "2")), "can be averaged when"),
        (pay("0", "weekly", ("1", "-2")), "none is below zero"),
        (pay("5", "weekly", months=3), "Months belong to"),
        (pay("5", "monthly", months=13), "from 1 to 12"),
        (pay("5", "profit and loss"), "takings and its costs"),
        (pay("5", "monthly", costs=Money(1)), "costs belong to a business"),
    ],
)
def test_what_cannot_be_worked_out_is_refused(facts: IncomeFacts, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        annual(facts)


@given(st.integers(0, 10**7), st.sampled_from(["weekly", "two weeks", "monthly", "hourly"]))
def test_dropping_cents_never_raises_an_income(minor: int, period: str) -> None:
    more = {"hours": 4000} if period == "hourly" else {}
    facts = IncomeFacts(kind="pay", period=period, amount=Money(minor), **more)  # type: ignore[arg-type]
    for method in (EXACT, SNAP, MASSACHUSETTS):
        assert annual(facts, replace(method, rounding="cents dropped")) <= annual(facts, method)
