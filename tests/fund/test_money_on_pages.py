"""How amounts, hours and quantities are written on pages."""

import pytest

from fund.money import Money
from fund.templatetags.money import credit, debit, dollars, hours, money, quantity


@pytest.mark.parametrize(
    ("minor", "shown"), [(118400, "1,184.00"), (-9472, "\u221294.72"), (0, "0.00"), (5, "0.05")]
)
def test_an_amount_has_two_places_and_a_true_minus(minor: int, shown: str) -> None:
    assert money(Money(minor)) == money(minor) == shown


@pytest.mark.parametrize("nothing", [None, "", "abc", True])
def test_what_is_no_amount_shows_nothing(nothing: object) -> None:
    assert money(nothing) == dollars(nothing) == debit(nothing) == credit(nothing) == ""


def test_dollars_carry_the_sign_before_the_currency() -> None:
    assert dollars(Money(-9472)) == "\u2212$94.72"


def test_a_line_stands_on_one_side_only() -> None:
    assert (debit(Money(5)), credit(Money(5))) == ("0.05", "")
    assert (debit(Money(-5)), credit(Money(-5))) == ("", "0.05")


def test_tenths_are_hours_and_hundredths_are_units() -> None:
    assert (hours(24), hours(0)) == ("2.4", "0.0")
    assert (quantity(900), quantity(250), quantity(10000)) == ("9", "2.5", "100")
