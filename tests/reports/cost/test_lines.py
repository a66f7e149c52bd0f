"""Each line of the estimate beside what was booked for it: hand-worked, and for any numbers."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.ledger import chart
from fund.money import Money, total
from jobs.estimates.rules import Kind
from reports.cost.rules import KINDS, Booked, Foreseen, by_kind
from reports.cost.rules_lines import by_line

DAY = date(2026, 3, 10)


def wanted(text: str, amount: int, kind: Kind = Kind.PART, number: int = 0) -> Foreseen:
    return Foreseen(number, kind.value, text, Money(amount))


def booked(text: str, amount: int, account: str = chart.PARTS) -> Booked:
    return Booked(account, Money(amount), text, 1, "Receipt", "R-00001", DAY, "2026-03", False)


def rows(*given_lines: Foreseen, costs: list[Booked]) -> list[tuple[str, int, int]]:
    return [(row.text, row.estimate.minor, row.actual.minor) for row in by_line(list(given_lines), costs)]


def test_each_thing_stands_beside_its_own_whatever_the_order_of_its_words() -> None:
    lines = (wanted("front pads", 80_00), wanted("front rotors", 120_00), wanted("brake hose", 30_00))
    costs = [booked("ROTORS, FRONT", 131_00), booked("pads front ceramic", 76_50), booked("clip kit", 4_10)]
    assert rows(*lines, costs=costs) == [
        ("front pads", 80_00, 76_50),
        ("front rotors", 120_00, 131_00),
        ("brake hose", 30_00, 0),
        ("clip kit", 0, 4_10),
    ]


def test_what_came_back_is_taken_off_the_thing_that_was_bought() -> None:
    lines = (wanted("front pads", 80_00), wanted("brake hose", 30_00))
    costs = [booked("front pads", 80_00), booked("front pads", -80_00), booked("brake hose", 30_00)]
    assert rows(*lines, costs=costs) == [("front pads", 80_00, 0), ("brake hose", 30_00, 30_00)]


def test_the_only_thing_of_its_kind_takes_all_that_was_booked_of_that_kind() -> None:
    lines = (wanted("transmission fluid, 12 quarts", 123_27, Kind.FLUID),)
    costs = [booked("ATF", 92_45, chart.FLUIDS), booked("shop towels", 5_00)]
    assert rows(*lines, costs=costs) == [
        ("shop towels", 0, 5_00),
        ("transmission fluid, 12 quarts", 123_27, 92_45),
    ]


def test_the_tax_is_in_both_columns_and_a_supplement_stands_for_itself() -> None:
    lines = (
        wanted("alternator", 214_99),
        wanted("tax", 17_74, Kind.TAX),
        wanted("belt", 40_00, number=1),
        wanted("core", 55_00, Kind.CORE),
        wanted("spare", 20_00, Kind.CONTINGENCY),
    )
    costs = [booked("alternator", 232_73), booked("belt", 41_00)]
    assert rows(*lines, costs=costs) == [("alternator", 232_73, 232_73), ("belt", 40_00, 41_00)]
    assert [row.round for row in by_line(lines, costs)] == [0, 1]


def test_nothing_estimated_and_nothing_booked_is_no_line() -> None:
    assert by_line([], []) == []


WORDS = st.sampled_from(["pads", "front pads", "hose", "ATF", "coolant", ""])
ACCOUNTS = st.sampled_from([account for _, account, _ in KINDS])


@given(
    st.lists(
        st.tuples(
            WORDS,
            st.integers(0, 500_00),
            st.sampled_from([Kind.PART, Kind.FLUID, Kind.OUTSIDE, Kind.FEE, Kind.TAX, Kind.CORE]),
            st.integers(0, 2),
        ),
        max_size=6,
    ),
    st.lists(st.tuples(WORDS, st.integers(-100_00, 500_00), ACCOUNTS), max_size=8),
)
def test_no_cent_is_lost_and_none_stands_twice(
    estimate: list[tuple[str, int, Kind, int]], costs: list[tuple[str, int, str]]
) -> None:
    foreseen = [wanted(*line) for line in estimate]
    lines = [booked(*line) for line in costs]
    found = by_line(foreseen, lines)
    assert sorted(line.amount.minor for row in found for line in row.booked) == sorted(
        line.amount.minor for line in lines
    )
    for kind in by_kind(foreseen, lines):
        mine = [row for row in found if row.kind == kind.label]
        assert (total(row.estimate for row in mine), total(row.actual for row in mine)) == (
            kind.estimate,
            kind.actual,
        )


@pytest.mark.parametrize(("text", "goes"), [("Front left pads, ceramic", True), ("front left hose", False)])
def test_alike_is_most_words_and_not_one(text: str, goes: bool) -> None:
    found = by_line(
        [wanted("front left pads", 80_00), wanted("wheel bearing", 60_00)],
        [booked(text, 70_00)],
    )
    assert (found[0].actual == Money(70_00)) is goes
