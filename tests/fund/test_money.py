"""One file parses, formats, rounds and splits money."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.money import Money, hand_out, parse_money, round_half_up, split, total
from fund.refusal import BadInput


@pytest.mark.parametrize(
    ("text", "mark", "minor"),
    [
        ("1184.00", ".", 118400),
        ("1,184.00", ".", 118400),
        ("$12", ".", 1200),
        ("-3.5", ".", -350),
        ("(3.50)", ".", -350),
        ("-$3.50", ".", -350),
        (".75", ".", 75),
        ("1.184,00", ",", 118400),
        ("1 184,5", ",", 118450),
        ("0.100", ".", 10),
        ("1,234,567.89", ".", 123456789),
    ],
)
def test_an_amount_is_read_as_people_write_it(text: str, mark: str, minor: int) -> None:
    assert parse_money(text, mark) == Money(minor)


@pytest.mark.parametrize(
    "text",
    ["", "abc", "-", "$", "1,18.00", "1.005", "12,34", "1e3", "٣", "NaN", "9" * 20, "1.2.3"]
    + ["--5", "(-5)", "-$-5", "+-5", "-+5", "++5", "(+5)", "(--5)", "$$5", "-$5-", "\u2212-5", "- -5"],
)
def test_what_is_no_amount_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_money(text)
    assert refusal.value.sentence.endswith(".")


def test_money_takes_no_float_and_no_bool() -> None:
    for wrong in (1.0, True, "1"):
        with pytest.raises(TypeError):
            Money(wrong)  # type: ignore[arg-type]


# Published apportionments by largest remainder (Hamilton's method): the class examples at solvely.ai (42 seats), a
# coursehero.com handout (25 seats of the first New England delegations) and answerspace.ai (53 seats); the Alabama
# paradox is worked out by hand. Recomputed with exact fractions.
HAMILTON = [
    (42, [247_000, 185_000, 459_000, 400_000, 413_000], [6, 5, 11, 10, 10]),
    (25, [63, 34, 14, 12, 10, 6], [11, 6, 3, 2, 2, 1]),
    (53, [93, 154, 486, 249, 223, 156], [3, 6, 19, 10, 9, 6]),
    (41, [162_310, 538_479, 197_145], [7, 25, 9]),  # Lippman, Math in Society, from memory
    (10, [6, 6, 2], [4, 4, 2]),
    (11, [6, 6, 2], [5, 5, 1]),
]


@pytest.mark.parametrize(("seats", "people", "answer"), HAMILTON)
def test_a_split_is_the_published_apportionment(seats: int, people: list[int], answer: list[int]) -> None:
    assert [share.minor for share in split(Money(seats), people)] == answer


# Massachusetts 6.25% on 145.84, 2,278.69 and 972.24, from the help page of a sales-tax service: exact taxes 9.115,
# 142.418125 and 60.765; the bill rounds to 212.30, two cents above the cut lines: 142.42 first, then a tie of half a
# cent, which goes to the first line.
def test_a_tie_goes_to_the_first_line() -> None:
    exact = [Fraction(14584 * 625, 10000), Fraction(227869 * 625, 10000), Fraction(97224 * 625, 10000)]
    assert hand_out(21230, exact) == [912, 14242, 6076]


def test_units_that_do_not_belong_to_the_quotas_are_refused() -> None:
    with pytest.raises(ValueError, match="do not belong"):
        hand_out(5, [Fraction(1), Fraction(1)])


def test_a_split_without_weight_is_refused() -> None:
    assert split(Money(0), [0, 0]) == [Money(0), Money(0)]
    with pytest.raises(BadInput):
        split(Money(1), [0, 0])
    with pytest.raises(ValueError, match="negative"):
        split(Money(1), [1, -1])


@given(st.integers(-(10**12), 10**12), st.lists(st.integers(0, 10**6), min_size=1).filter(any))
def test_a_split_never_gains_or_loses_a_cent(minor: int, weights: list[int]) -> None:
    shares = split(Money(minor), weights)
    assert total(shares) == Money(minor)
    assert all((share.minor >= 0) == (minor >= 0) or not share for share in shares)
    assert split(Money(-minor), weights) == [-share for share in shares]
    for share, weight in zip(shares, weights, strict=True):
        assert abs(Fraction(share.minor) - Fraction(minor * weight, sum(weights))) < 1


@given(st.integers(-(10**14), 10**14))
def test_what_is_formatted_reads_back(minor: int) -> None:
    assert parse_money(str(Money(minor))) == Money(minor) == parse_money(Money(minor).dollars)


# 37 miles at 72.5 cents (IRS standard mileage rate for business from January 2026) is 26.825 dollars.
def test_a_half_goes_away_from_zero() -> None:
    assert round_half_up(Fraction(26825, 10)) == Money(2683)
    assert round_half_up(Fraction(-26825, 10)) == Money(-2683)
    assert round_half_up(Fraction(26824, 10)) == Money(2682)
