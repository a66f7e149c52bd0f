"""Is the household within the line? Pure and exact; a rounded figure never decides.

The line is the poverty guideline of the US Department of Health and Human Services (HHS) for the area and the
household size, times the fund's own percent: ``income x 100 <= guideline x percent``, in minor units a year.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from math import ceil, floor

from fund.money import Money
from fund.refusal import BadInput, NotReady
from jobs.eligibility.rules_income import annual_income, show, step
from jobs.eligibility.rules_methods import EXACT, Method
from jobs.households.rules import AREAS, IncomeFacts

GUIDELINE = "poverty guideline"
EVERYWHERE = "all"
SIZES = 8  # sizes with a printed row; above them the notice adds one amount for each further person
LARGEST = 30


@dataclass(frozen=True, kw_only=True)
class Table:
    """One printed table: yearly amounts for sizes 1 to 8 and the amount for each further person."""

    year: int
    area: str
    sizes: tuple[Money, ...]
    each_more: Money
    in_use_from: date
    source: str
    line: str = GUIDELINE

    @property
    def words(self) -> str:
        """“2026 guideline, Alaska”; another line by its own name."""
        name = "guideline" if self.line == GUIDELINE else self.line
        return f"{self.year} {name}, {AREAS.get(self.area, self.area)}"


@dataclass(frozen=True, kw_only=True)
class Assessment:
    """The verdict of the arithmetic with every figure in it.

    ``annual``, ``limit`` and ``gap`` are exact minor units a year; ``gap`` is limit minus income.
    """

    within: bool
    size: int
    table: Table
    guideline: Money
    percent: int
    annual: Fraction
    limit: Fraction
    gap: Fraction
    sentence: str
    method: Method
    worksheet: list[str] = field(default_factory=list)


def guideline(table: Table, size: int) -> Money:
    """The yearly guideline for a size. Over 8: the row for 8 plus each-more for every further person."""
    if not 1 <= size <= LARGEST:
        raise BadInput(f"A household has from 1 to {LARGEST} people, not {size}.")
    extra = max(0, size - SIZES)
    return table.sizes[min(size, SIZES) - 1] + table.each_more * extra


def table_in_use(tables: Iterable[Table], area: str, on: date, line: str = GUIDELINE) -> Table:
    """The table of a line and area in use on a day: the one most lately put in use by then.

    A table whose area is ``all`` serves where there is none of the area itself.
    """
    in_use = [table for table in tables if table.line == line and table.in_use_from <= on]
    fitting = [table for table in in_use if table.area == area] or [
        table for table in in_use if table.area == EVERYWHERE
    ]
    if not fitting:
        name = "" if line == GUIDELINE else f"“{line}” "
        raise NotReady(
            f"No income table {name}for {AREAS.get(area, area) or 'this household'} is in use on {on:%B} {on.day}, {on.year}. "
            "Load one first."
        )
    return max(fitting, key=lambda table: (table.in_use_from, table.year))


def dollars(amount: Money) -> str:
    """$112 for a whole dollar amount, $112.50 otherwise."""
    return amount.dollars.removesuffix(".00")


def sentence(gap: Fraction, size: int) -> str:
    """How far from the line, by the month and the year.

    For the eye, over is rounded up and under is rounded down: no one reads more room than there is.
    """
    if gap == 0:
        return f"Exactly at the line at size {size}: within it."
    room, round_off, opening = (gap, floor, "Under the line by") if gap > 0 else (-gap, ceil, "Over by")
    month = f"{dollars(Money(round_off(room / 12)))} a month" if room >= 12 else "less than a cent a month"
    return f"{opening} {month} at size {size} ({dollars(Money(round_off(room)))} a year)."


def assess(
    incomes: Sequence[IncomeFacts], size: int, table: Table, percent: int, method: Method = EXACT
) -> Assessment:
    """Compare a household's yearly income with the line, exactly: ``income x 100 <= guideline x percent``.

    Only ``method`` may round, and only where it says so.
    """
    amount = guideline(table, size)
    year = annual_income(incomes, method)
    limit = Fraction(amount.minor * percent, 100)
    gap = limit - year
    words = sentence(gap, size)
    return Assessment(
        within=year * 100 <= amount.minor * percent,
        size=size,
        table=table,
        guideline=amount,
        percent=percent,
        annual=year,
        limit=limit,
        gap=gap,
        sentence=words,
        method=method,
        worksheet=[
            *_income_steps(incomes, year, method),
            *_line_steps(table, size, amount, percent, limit),
            words,
        ],
    )


def _income_steps(incomes: Sequence[IncomeFacts], year: Fraction, method: Method) -> list[str]:
    lines = [step(income, method).text for income in incomes]
    if not lines:
        return ["No income is recorded: 0.00 a year"]
    if method != EXACT:
        lines = [f"Method: {method.words}", *lines]
    return [*lines, f"Income in a year, all together = {show(year)}"]


def _line_steps(table: Table, size: int, amount: Money, percent: int, limit: Fraction) -> list[str]:
    where = table.words
    if size > SIZES:
        first = f"{where}, size 8: {table.sizes[-1]} + {size - SIZES} × {table.each_more} = {amount}"
    else:
        first = f"{where}, size {size}: {amount}"
    return [first, f"{amount} × {percent} ÷ 100 = {show(limit)} a year, {show(limit / 12)} a month: the line"]


def percent_band(year: Fraction, amount: Money) -> str:
    """Where an income lies against the guideline, in steps of 50: enough for an approval, no exact income."""
    for low in range(0, 400, 50):
        if year * 100 <= amount.minor * (low + 50):
            return f"{low}% to {low + 50}% of the guideline" if low else "up to 50% of the guideline"
    return "over 400% of the guideline"
