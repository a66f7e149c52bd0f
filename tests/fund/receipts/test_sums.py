"""Lines and tax are the total, or the receipt stays a draft and the sentence says what is missing."""

import pytest

from fund.receipts.rules import sums_or_explanation
from tests.fund.receipts.makers import m


def _words(receipt_total: str, tax: str, *amounts: str) -> str:
    return sums_or_explanation([m(amount) for amount in amounts], m(tax), m(receipt_total))


def test_nothing_is_said_when_it_adds_up() -> None:
    assert _words("161.29", "12.29", "80.00", "45.00", "24.00") == ""


def test_three_dollars_short_asks_for_a_disposal_fee() -> None:
    assert _words("164.29", "12.29", "80.00", "45.00", "24.00") == (
        "Lines 149.00 + tax 12.29 = 161.29, the receipt says 164.29: 3.00 unexplained. A disposal fee?"
    )


@pytest.mark.parametrize(
    ("receipt_total", "tax", "amounts", "guess"),
    [
        (
            "149.00",
            "12.29",
            ["80.00", "45.00", "24.00"],
            "12.29 too much in the lines. Is the tax already inside",
        ),
        (
            "116.29",
            "12.29",
            ["80.00", "45.00", "24.00"],
            "45.00 too much in the lines. Is a line entered twice?",
        ),
        ("107.29", "12.29", ["80.00", "45.00", "24.00"], "54.00 too much in the lines. Two digits swapped?"),
        ("151.28", "12.29", ["80.00", "45.00", "24.00"], "10.01 too much in the lines. A discount?"),
        ("216.29", "12.29", ["80.00", "45.00", "24.00"], "55.00 unexplained. A line not entered yet, a core"),
        ("173.58", "12.29", ["80.00", "45.00", "24.00"], "12.29 unexplained. Is there a second tax line?"),
        ("1.00", "0.00", [], "1.00 unexplained."),
    ],
)
def test_the_guess_fits_the_difference(receipt_total: str, tax: str, amounts: list[str], guess: str) -> None:
    assert guess in _words(receipt_total, tax, *amounts)
