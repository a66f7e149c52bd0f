"""From pay as people tell it to a year's income, by one of the methods of :mod:`rules_methods`.

Factors of a year in use at assistance programs: hourly pay x hours a week x 52, weekly x 52, every two weeks x 26,
twice a month x 24, monthly x 12 (HUD Technical Guide for Determining Income and Allowances for the HOME
Program, exhibits 3.5 and 3.6). A year-to-date sum is divided by its weeks and multiplied by 52. A business counts
with its takings less its costs, by the month of its statement; a loss counts as nothing and lowers no other income.
Amounts are fractions of minor units until a method rounds them or they are shown.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from fund.money import Money, round_half_up
from jobs.eligibility.rules_methods import EXACT, Method, average, factor_words, money_or_about
from jobs.households.rules import KINDS, MONTHS, WEEKS, IncomeFacts, check_income

MONTHS_OF_PAY = {"twice a month": 2, "monthly": 1}
EVERY = {
    "weekly": "a week",
    "two weeks": "every two weeks",
    "twice a month": "twice a month",
    "monthly": "a month",
}


@dataclass(frozen=True)
class Step:
    """One line of the worksheet: what to work out on paper, and its result in minor units a year."""

    text: str
    annual: Fraction


def annual(income: IncomeFacts, method: Method = EXACT) -> Fraction:
    """One income in a year, in minor units. Refuses what :func:`check_income` refuses."""
    return step(income, method).annual


def monthly_income(income: IncomeFacts, method: Method = EXACT) -> Fraction:
    """One income in a month by the method, in minor units."""
    return annual(income, method) / MONTHS


def annual_income(incomes: Sequence[IncomeFacts], method: Method = EXACT) -> Fraction:
    """All incomes of a household in a year, in minor units."""
    return sum((annual(income, method) for income in incomes), Fraction(0))


def step(income: IncomeFacts, method: Method = EXACT) -> Step:
    """The line of the worksheet for one income, with the figures a person would write on paper."""
    check_income(income)
    text, year = _working(income, method)
    return Step(f"Person {income.member}, {KINDS[income.kind].lower()}: {text} = {show(year)}", year)


def _working(income: IncomeFacts, method: Method) -> tuple[str, Fraction]:
    amount = Fraction(income.amount.minor)
    if income.period == "profit and loss":
        return _business(income, method)
    if income.period == "year to date":
        weeks = income.weeks_so_far or 1
        year = amount / weeks * WEEKS
        return _month_kept(f"{income.amount} so far ÷ {weeks} weeks × {WEEKS}", year, method)
    if income.period == "yearly":
        return _month_kept(f"{income.amount} a year × 1", amount, method)
    text, base = _base(income, method)
    if income.period in MONTHS_OF_PAY:
        times = MONTHS_OF_PAY[income.period]
        return _by_months(text, base, times, income.months, method)
    return _by_weeks(text, base, income, method)


def _base(income: IncomeFacts, method: Method) -> tuple[str, Fraction]:
    """What is multiplied: one pay, the average of several, or rate x hours."""
    if income.period == "hourly":
        hours = Fraction(income.hours or 0, 100)
        pay = method.before(income.amount.minor * hours)
        text = f"{income.amount} an hour × {plain(hours)} hours a week"
        return (text if method.by_year else f"{text} = {show(pay)} a week"), pay
    every = EVERY[income.period]
    if not income.stubs:
        pay = method.before(Fraction(income.amount.minor))
        return f"{show(pay)} {every}", pay
    pays = [method.before(Fraction(stub.minor)) for stub in income.stubs]
    mean = average(income.stubs, method)
    added = " + ".join(show(pay) for pay in pays)
    return f"({added}) ÷ {len(pays)} = {show(mean)} {every}", mean


def _by_weeks(text: str, base: Fraction, income: IncomeFacts, method: Method) -> tuple[str, Fraction]:
    pays = Fraction(income.weeks, 2) if income.period == "two weeks" else Fraction(income.weeks)
    if method.by_year or income.weeks != WEEKS:
        unit = " weeks" if income.period == "hourly" else ""
        return _month_kept(f"{text} × {plain(pays)}{unit}", base * pays, method)
    factor = method.two_weeks if income.period == "two weeks" else method.weekly
    month = method.month(base * factor)
    return f"{text} × {factor_words(factor)} = {show(month)} a month, × 12", month * MONTHS


def _by_months(text: str, base: Fraction, times: int, months: int, method: Method) -> tuple[str, Fraction]:
    month = method.month(base * times)
    if months == MONTHS and method.rounding == "none":
        return f"{text} × {times * MONTHS}", month * MONTHS
    each = f"{text} × {times} = {show(month)} a month" if times > 1 else text
    return f"{each} × {months} months", month * months


def _business(income: IncomeFacts, method: Method) -> tuple[str, Fraction]:
    costs = income.costs or Money.zero
    profit = income.amount - costs
    text = f"takings {income.amount} less costs {costs} = {profit} in {income.months} months"
    if profit < Money.zero:
        return f"{text}, a loss, which counts as 0.00", Fraction(0)
    return _month_kept(
        f"{text}, ÷ {income.months} × 12", Fraction(profit.minor * MONTHS, income.months), method
    )


def _month_kept(text: str, year: Fraction, method: Method) -> tuple[str, Fraction]:
    """A yearly figure, rounded by its month where the method rounds months."""
    month = method.month(year / MONTHS)
    if month * MONTHS == year:
        return text, year
    return f"{text}, ÷ 12 = {show(month)} a month, × 12", month * MONTHS


def show(minor: Fraction) -> str:
    """An exact amount for the eye; a figure that had to be rounded says so."""
    return money_or_about(minor)


def plain(value: Fraction) -> str:
    """A count such as 24, 37.5 or 8.25 without idle zeros."""
    whole, hundredths = divmod(int(value * 100), 100)
    return f"{whole}.{hundredths:02}".rstrip("0").rstrip(".")


def monthly(minor_a_year: Fraction) -> Money:
    """A month's share of a yearly amount, rounded half up, for the eye only: it never decides."""
    return round_half_up(minor_a_year / MONTHS)
