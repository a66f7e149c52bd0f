"""A difference points at the slip behind it."""

import pytest

from fund.bank.rules_difference import difference_hints
from fund.money import Money


def cents(text: str) -> Money:
    return Money(int(text.replace(".", "")))


def test_nothing_is_said_of_no_difference() -> None:
    assert difference_hints(Money.zero, [("x", Money(1))]) == []


@pytest.mark.parametrize(("written", "meant"), [("82.00", "28.00"), ("93.00", "39.00")])
def test_a_difference_of_54_points_at_swapped_digits_six_apart(written: str, meant: str) -> None:
    """The pairs are old bookkeepers' practice, from memory."""
    hints = difference_hints(cents("54.00"), [("Entry 7", cents(written)), ("Entry 8", cents("17.00"))])
    assert "54.00 is divisible by 9" in hints[0] and "two swapped digits 6 apart, like 71 for 17" in hints[0]
    named = [hint for hint in hints if hint.startswith("Entry 7")]
    assert named == [f"Entry 7: {written} and {meant} differ by just that. Was one written for the other?"]


def test_a_difference_of_54_points_at_a_slid_point() -> None:
    hints = difference_hints(cents("54.00"), [("Entry 7", cents("6.00"))])
    assert "slid decimal point (60.00 for 6.00)" in hints[0]
    assert hints[1] == "Entry 7: 6.00 and 60.00 differ by just that. Was one written for the other?"


def test_half_the_difference_finds_an_amount_on_the_wrong_side() -> None:
    """OpenStax, Principles of Accounting vol. 1, 3.6: a trial balance 200 apart; 100, Dividends, is on the wrong side."""
    hints = difference_hints(
        cents("200.00"), [("Dividends", cents("100.00")), ("Utility expense", cents("300.00"))]
    )
    assert hints == ["Half of 200.00 is the amount of: Dividends. Is it on the wrong side?"]


def test_a_difference_divisible_by_nine_finds_the_swapped_amount() -> None:
    """OpenStax, Principles of Accounting vol. 1, 3.6: 1,800 apart, because 5,300 was written for 3,500."""
    hints = difference_hints(cents("1800.00"), [("Equipment", cents("5300.00"))])
    assert "two swapped digits 2 apart" in hints[0]
    assert hints[1] == "Equipment: 5,300.00 and 3,500.00 differ by just that. Was one written for the other?"


def test_an_item_of_just_the_difference_is_named() -> None:
    assert difference_hints(cents("-16.13"), [("Check 1042", cents("-16.13"))]) == [
        "16.13 is just the amount of: Check 1042."
    ]


def test_a_difference_that_tells_nothing_gets_no_hint() -> None:
    assert difference_hints(cents("0.01"), [("Check 1042", cents("-16.13"))]) == []
