"""How pay becomes a month's and a year's income: the families of factors, and where cents are rounded. Pure.

- ``exact``: x 52 / 12 by the week, x 26 / 12 every two weeks (HUD Technical Guide for Determining Income and
  Allowances for the HOME Program; the usual annualizing).
- ``4.3 and 2.15``: SNAP and most state programs, 7 CFR 273.10(c)(2)(i).
- ``4.333 and 2.167``: Massachusetts, 106 CMR 364.340. ``4.333 and 2.166``: Missouri manual 0410.015.05.05.

The families give a month; a year is twelve of those months, so 4.3 makes 51.6 weeks of a year. The same wage can be
within the line by one family and over it by another, which is why the method is a dated rule and is kept with each
decision. Part of a year (seasonal work) is counted in its own weeks by every method: no factor is made for it.

Rounding is part of the method. ``cents dropped`` drops them of each pay, of their average and of what is multiplied
(Illinois, PM 11-02-04-a and 13-02-04). ``to the cent`` and ``to the dollar`` round each income's month half up.
"""

from dataclasses import dataclass
from fractions import Fraction

from fund.money import Money, round_half_up

DOLLAR = 100


@dataclass(frozen=True)
class Method:
    """Months' factors for pay by the week and every two weeks, in words and exact; and the rounding."""

    name: str = "exact"
    rounding: str = "none"

    @property
    def weekly(self) -> Fraction:
        return _FACTORS[self.name][0]

    @property
    def two_weeks(self) -> Fraction:
        return _FACTORS[self.name][1]

    @property
    def by_year(self) -> bool:
        """Whether pay is counted by the year (x 52) and not by the month."""
        return self.name == "exact"

    @property
    def words(self) -> str:
        return self.name if self.rounding == "none" else f"{self.name}, {self.rounding}"

    def before(self, minor: Fraction) -> Fraction:
        """An amount before it is averaged or multiplied."""
        return Fraction(minor // DOLLAR * DOLLAR) if self.rounding == "cents dropped" else minor

    def month(self, minor: Fraction) -> Fraction:
        """A month's income of one source as this method keeps it."""
        if self.rounding == "to the cent":
            return Fraction(round_half_up(minor).minor)
        if self.rounding == "to the dollar":
            return Fraction(round_half_up(minor / DOLLAR).minor * DOLLAR)
        return minor


_FACTORS = {
    "exact": (Fraction(52, 12), Fraction(26, 12)),
    "4.3 and 2.15": (Fraction("4.3"), Fraction("2.15")),
    "4.333 and 2.167": (Fraction("4.333"), Fraction("2.167")),
    "4.333 and 2.166": (Fraction("4.333"), Fraction("2.166")),
}
EXACT = Method()


def factor_words(factor: Fraction) -> str:
    """4.3, 2.167, or 52 ÷ 12 where no decimal says it."""
    thousandths = factor * 1000
    if thousandths.denominator != 1:
        return f"{int(factor * 12)} ÷ 12"
    return f"{int(thousandths) / 1000:g}"


def money_or_about(minor: Fraction) -> str:
    """An exact amount for the eye; a figure that had to be rounded says so."""
    rounded = str(round_half_up(minor))
    return rounded if minor.denominator == 1 else f"about {rounded}"


def average(pays: tuple[Money, ...], method: Method) -> Fraction:
    """The gross pays added and divided by their number (Connecticut SNAP manual, averaging), minor units."""
    whole = sum((method.before(Fraction(pay.minor)) for pay in pays), Fraction(0))
    return method.before(whole / len(pays))
