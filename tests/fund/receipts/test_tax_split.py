"""A supplier's receipt shows its tax already; the fund splits it over the lines, to the cent."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.money import Money, total
from fund.receipts.rules import LineInput, PortionInput, portions_of, tax_shares
from fund.refusal import BadInput
from tests.fund.receipts.makers import line, m


def _shares(tax: str, *amounts: str) -> list[str]:
    return [str(share) for share in tax_shares([m(a) for a in amounts], [True] * len(amounts), m(tax))]


def test_the_massachusetts_bill_of_three_lines() -> None:
    """A published bill at 6.25% (help page of a sales-tax service): 145.84, 2,278.69 and 972.24, whole tax 212.30.

    Its exact taxes are 9.115, 142.418125 and 60.765; each line rounded alone would give 212.31. A receipt prints no
    rate, so the printed 212.30 is shared by amount: exact parts 9.11508, 142.41938 and 60.76554. Two cents are left
    beyond the cut parts and go to the largest fractions, the second line and the third. (At the exact rate the first
    and third tie, and the first line has it: that case is in the tests of fund.money.)
    """
    shares = _shares("212.30", "145.84", "2278.69", "972.24")
    assert shares == ["9.11", "142.42", "60.77"]
    exact = [Fraction(14584, 16), Fraction(227869, 16), Fraction(97224, 16)]
    assert all(abs(m(share).minor - quota) < 1 for share, quota in zip(shares, exact, strict=True))


def test_three_lines_of_a_counter_receipt() -> None:
    """Common practice, no source: 80.00, 45.00 and 24.00 with tax 12.29."""
    assert _shares("12.29", "80.00", "45.00", "24.00") == ["6.60", "3.71", "1.98"]


def test_lines_that_are_not_taxed_get_none() -> None:
    shares = tax_shares([m("100.00"), m("55.00"), m("100.00")], [True, False, True], m("16.51"))
    assert [str(share) for share in shares] == ["8.26", "0.00", "8.25"]


def test_tax_without_a_taxed_line_is_refused() -> None:
    with pytest.raises(BadInput, match="tax of 4.54, but no line is marked as taxed"):
        tax_shares([m("55.00")], [False], m("4.54"))


def test_twelve_quarts_of_coolant_nine_to_the_job() -> None:
    """Common practice, no source: 12 quarts 113.88 with 9.39 tax are 123.27; 9 cost 92.45, 3 cost 30.82."""
    coolant = line(
        "coolant", "113.88", ("fluid", "RO-0003"), ("shelf", None, 3000), quantity=12000, unit="quart"
    )
    job, shelf = portions_of(coolant, m("9.39"))
    assert (str(job.amount), job.quantity) == ("92.45", 9000)
    assert (str(shelf.amount), shelf.quantity) == ("30.82", 3000)


@pytest.mark.parametrize("parts", [[(9000), (4000)], [(12000), None], [None, None], [(5000), (5000)]])
def test_parts_that_are_not_the_line_are_refused(parts: list[int | None]) -> None:
    coolant = LineInput(
        "coolant", m("113.88"), [PortionInput("shelf", None, part) for part in parts], quantity=12000
    )
    with pytest.raises(BadInput, match="coolant"):
        portions_of(coolant, Money.zero)


_money = st.integers(min_value=0, max_value=500_000).map(Money)


@given(
    lines=st.lists(
        st.tuples(_money, st.booleans(), st.lists(st.integers(1, 50_000), min_size=1, max_size=3))
    ),
    tax=st.integers(min_value=0, max_value=50_000).map(Money),
)
def test_portions_always_add_up_to_lines_and_tax(
    lines: list[tuple[Money, bool, list[int]]], tax: Money
) -> None:
    amounts, taxable = [row[0] for row in lines], [row[1] for row in lines]
    if not any(amount and yes for amount, yes in zip(amounts, taxable, strict=True)):
        tax = Money.zero
    shares = tax_shares(amounts, taxable, tax)
    portions = [
        portion
        for (amount, _, parts), share in zip(lines, shares, strict=True)
        for portion in portions_of(
            LineInput("x", amount, [PortionInput("shelf", None, p) for p in parts], quantity=sum(parts)),
            share,
        )
    ]
    assert total(portion.amount for portion in portions) == total(amounts) + tax
    assert all(share == Money.zero for share, yes in zip(shares, taxable, strict=True) if not yes)
