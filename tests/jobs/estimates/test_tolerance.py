"""Tolerance shapes against the written-estimate rules of several places.

Each place stands with the publication its figures were read in. The dollar results are worked by hand from those rules.
Laws differ and change: local law decides, and the fund's own rule is a dated setting.
"""

from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.access.models import Person
from fund.money import Money
from fund.rulebook.actions import set_rule
from fund.rulebook.rules import TOLERANCES
from jobs.estimates.queries import tolerance_rule
from jobs.estimates.rules import Shape, ToleranceRule, tolerance
from tests.conftest import TODAY


class Place(NamedTuple):
    name: str
    source: str
    rule: ToleranceRule
    worked: tuple[tuple[int, int], ...]  # (estimate, tolerance), minor units


def dollars(amount: int) -> Money:
    return Money(amount * 100)


PLACES = (
    Place(
        "California: any excess needs consent first",
        "Business and Professions Code 9884.9, as quoted by guygilbert.blogspot.com (2007) and autobodynews.com 737",
        ToleranceRule(Shape.NONE, 10, dollars(50), dollars(50)),
        ((80_00, 0), (300_00, 0), (900_00, 0)),
    ),
    Place(
        "Michigan: 10% or $50, whichever is less",
        "MCL 257.1332 (from memory); facility manual chapter 4, revised May 2023, for the $50 threshold",
        ToleranceRule(Shape.LESSER, 10, dollars(50)),
        ((80_00, 8_00), (300_00, 30_00), (900_00, 50_00), (500_00, 50_00), (99, 9), (0, 0)),
    ),
    Place(
        "Michigan, an older page: $10 or 10%, whichever is less",
        "older pages of michigan.gov",
        ToleranceRule(Shape.LESSER, 10, dollars(10)),
        ((80_00, 8_00), (300_00, 10_00)),
    ),
    Place(
        "Ohio, motor vehicles: 10%",
        "Ohio Administrative Code 109:4-3-13, regulations.justia.com, current to September 2024",
        ToleranceRule(Shape.PERCENT, 10),
        ((80_00, 8_00), (900_00, 90_00)),
    ),
    Place(
        "Ohio, other repairs: $5 or 10%, whichever is greater",
        "Ohio Administrative Code 109:4-3-05, codes.ohio.gov",
        ToleranceRule(Shape.GREATER, 10, dollars(5)),
        ((30_00, 5_00), (50_00, 5_00), (80_00, 8_00)),
    ),
    Place(
        "Ohio, the page of its attorney general: 10%",
        "ohioattorneygeneral.gov (its threshold is out of date; the percentage is the same)",
        ToleranceRule(Shape.PERCENT, 10),
        ((300_00, 30_00),),
    ),
    Place(
        "Florida: $10 or 10%, whichever is greater, but not to exceed $50",
        "Florida Statutes 559.909, lawserver.com (2024)",
        ToleranceRule(Shape.GREATER_CAPPED, 10, dollars(10), dollars(50)),
        ((80_00, 10_00), (300_00, 30_00), (900_00, 50_00)),
    ),
    Place(
        "New York: no charge above the estimate without consent",
        "15 NYCRR 82.8, casetext.com (the rule itself in part from memory)",
        ToleranceRule(Shape.NONE),
        ((300_00, 0),),
    ),
    Place(
        "Pennsylvania, one consumer page: 10% or $50, whichever is less",
        "a consumer page on 37 Pa. Code 301 (weak source)",
        ToleranceRule(Shape.LESSER, 10, dollars(50)),
        ((300_00, 30_00), (900_00, 50_00)),
    ),
    Place(
        "Ontario: 10%",
        "cleo.on.ca",
        ToleranceRule(Shape.PERCENT, 10),
        ((300_00, 30_00), (900_00, 90_00)),
    ),
)
# No published place was found with these two; worked by hand.
OWN = (
    (ToleranceRule(Shape.DOLLARS, 10, dollars(25), dollars(20)), 900_00, 25_00),
    (ToleranceRule(Shape.CAPPED, 10, dollars(5), dollars(40)), 300_00, 30_00),
    (ToleranceRule(Shape.CAPPED, 10, dollars(5), dollars(40)), 900_00, 40_00),
)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
def test_each_published_place_gives_the_tolerance_it_states(place: Place) -> None:
    assert place.source
    assert [(estimate, tolerance(Money(estimate), place.rule).minor) for estimate, _ in place.worked] == list(
        place.worked
    )


@pytest.mark.parametrize(("rule", "estimate", "expected"), OWN)
def test_dollars_and_a_capped_percentage(rule: ToleranceRule, estimate: int, expected: int) -> None:
    assert tolerance(Money(estimate), rule) == Money(expected)


def test_a_part_of_a_cent_is_dropped_so_the_percentage_is_never_passed() -> None:
    # 10% of 123.45 is 12.345, of 0.09 less than a cent.
    percent = ToleranceRule(Shape.PERCENT, 10)
    assert tolerance(Money(123_45), percent) == Money(12_34)
    assert tolerance(Money(9), percent) == Money.zero


def test_every_shape_of_the_rulebook_is_one_that_can_be_computed() -> None:
    assert tuple(shape.value for shape in Shape) == TOLERANCES


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (Shape.NONE, "nothing"),
        (Shape.PERCENT, "10%"),
        (Shape.DOLLARS, "$20.00"),
        (Shape.LESSER, "10% or $20.00, whichever is less"),
        (Shape.GREATER, "10% or $20.00, whichever is more"),
        (Shape.CAPPED, "10%, at most $50.00"),
        (Shape.GREATER_CAPPED, "10% or $20.00, whichever is more, at most $50.00"),
    ],
)
def test_each_shape_is_told_in_words(shape: Shape, words: str) -> None:
    assert ToleranceRule(shape, 10, dollars(20), dollars(50)).words == words


@pytest.mark.django_db
def test_the_funds_own_tolerance_is_a_dated_rule(owner: Person) -> None:
    assert tolerance(Money(900_00), tolerance_rule()) == Money(50_00)
    for name, value in (
        ("tolerance_shape", "greater of both, capped"),
        ("tolerance_dollars", "10.00"),
        ("tolerance_cap", "60.00"),
    ):
        set_rule(by=owner, name=name, value=value, valid_from=TODAY, reason="The law of our state")
    assert [tolerance(Money(amount), tolerance_rule()).minor for amount in (80_00, 300_00, 900_00)] == [
        10_00,
        30_00,
        60_00,
    ]
    before = TODAY.replace(day=1)
    assert tolerance(Money(80_00), tolerance_rule(before)) == Money(8_00)


@given(st.integers(0, 10_000_00), st.integers(0, 100), st.integers(0, 500_00))
def test_lesser_never_exceeds_either_side_and_greater_never_falls_below(
    estimate: int, percent: int, dollars: int
) -> None:
    money = Money(estimate)
    share = tolerance(money, ToleranceRule(Shape.PERCENT, percent))
    least = tolerance(money, ToleranceRule(Shape.LESSER, percent, Money(dollars)))
    most = tolerance(money, ToleranceRule(Shape.GREATER, percent, Money(dollars)))
    assert least <= share <= most
    assert least <= Money(dollars) <= most
    assert least + most == share + Money(dollars)


@given(
    st.sampled_from(list(Shape)), st.integers(0, 10_000_00), st.integers(0, 100), st.integers(0, 500_00),
    st.integers(0, 500_00),
)  # fmt: skip
def test_no_shape_goes_below_zero_or_above_its_cap(
    shape: Shape, estimate: int, percent: int, amount: int, cap: int
) -> None:
    found = tolerance(Money(estimate), ToleranceRule(shape, percent, Money(amount), Money(cap)))
    assert found >= Money.zero
    if "capped" in shape.value:
        assert found <= Money(cap)
