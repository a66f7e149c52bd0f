"""Estimate beside actual and published beside present, by hand-worked cases and for any numbers."""

from datetime import date
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from fund.ledger import chart
from fund.money import Money, total
from jobs.estimates.rules import Kind
from reports.cost.rules import (
    Booked,
    Foreseen,
    by_kind,
    costs_among,
    deposits_among,
    published_of,
    since,
)


def wanted(kind: Kind, amount: int, number: int = 0) -> Foreseen:
    return Foreseen(number, kind.value, kind.value, Money(amount))


def line(amount: int, account: str = chart.PARTS, month: str = "2026-03", entry: int = 1) -> Booked:
    day = date.fromisoformat(f"{month}-10")
    return Booked(account, Money(amount), "thing", entry, "Receipt", "R-00001", day, month, False)


def told(*rows: tuple[str, int, int]) -> dict[str, Any]:
    """A record with repairs of (alias, cost in the month, cost to date), all compact cars with the same job."""
    return {
        "repairs": [
            {"alias": alias, "vehicle": "compact car", "job": "Brakes", "cost": cost, "cost_to_date": to_date}
            for alias, cost, to_date in rows
        ]
    }


def test_the_estimated_tax_goes_with_what_it_is_on_as_on_a_receipt() -> None:
    # 58.75 + 41.20 of parts and 113.88 of coolant carry 17.64: by largest remainder 4.85, 3.40 and 9.39.
    lines = [
        wanted(Kind.PART, 58_75),
        wanted(Kind.FLUID, 113_88),
        wanted(Kind.PART, 41_20),
        wanted(Kind.TAX, 17_64),
        wanted(Kind.CORE, 55_00),
        wanted(Kind.CONTINGENCY, 20_00),
    ]
    booked = [line(63_60), line(92_45, chart.FLUIDS), line(44_60)]
    rows = {
        row.label: (row.estimate.minor, row.actual.minor, row.difference.minor)
        for row in by_kind(lines, booked)
    }
    assert rows == {
        "Parts and fees": (108_20, 108_20, 0),
        "Fluids and other used-up things": (123_27, 92_45, -30_82),
        "Contingency, for what was not foreseen": (20_00, 0, -20_00),
    }


def test_what_nobody_foresaw_stands_with_an_estimate_of_nothing() -> None:
    rows = by_kind([wanted(Kind.PART, 100_00)], [line(44_00, chart.CORES_LOST), line(80_00, chart.COMEBACK)])
    assert [(row.label, row.estimate.minor, row.actual.minor) for row in rows] == [
        ("Parts and fees", 100_00, 0),
        ("Cores lost", 0, 44_00),
        ("Bought again", 0, 80_00),
    ]


def test_a_supplement_keeps_its_own_tax() -> None:
    lines = [
        wanted(Kind.PART, 100_00), wanted(Kind.TAX, 8_00),
        wanted(Kind.OUTSIDE, 95_00, 1), wanted(Kind.TAX, 1_00, 1),
    ]  # fmt: skip
    assert [row.estimate.minor for row in by_kind(lines, [])] == [108_00, 96_00]


def test_deposits_are_beside_the_cost() -> None:
    lines = [line(232_73), line(55_00, chart.CORES), line(-55_00, chart.CORES), line(25_00, chart.CORES_LOST)]
    assert total(row.amount for row in costs_among(lines)) == Money(257_73)
    assert total(row.amount for row in deposits_among(lines)) == Money.zero


KINDS = st.sampled_from(list(Kind))
ACCOUNTS = st.sampled_from((*chart.REPAIR_COST, chart.CORES))


@given(
    st.lists(st.tuples(KINDS, st.integers(1, 90_000), st.integers(0, 2)), max_size=30),
    st.lists(st.tuples(ACCOUNTS, st.integers(-90_000, 90_000)), max_size=30),
)
def test_the_columns_always_add_up_to_the_whole(
    estimate: list[tuple[Kind, int, int]], booked: list[tuple[str, int]]
) -> None:
    lines = [wanted(*row) for row in estimate]
    costs = costs_among(line(amount, account) for account, amount in booked)
    rows = by_kind(lines, costs)
    assert total(row.estimate for row in rows) == total(row.amount for row in lines if row.kind != Kind.CORE)
    assert total(row.actual for row in rows) == total(row.amount for row in costs)


def test_a_published_cost_that_changed_is_explained_by_what_was_booked_since() -> None:
    costs = [line(182_29), line(-21_65, month="2026-04", entry=9)]
    known = published_of(
        [("2026-03", 1, told(("Alder", 182_29, 182_29)))], "Alder", "compact car", "Brakes", costs
    )
    found = since(known, costs, "2026-03")
    assert found is not None
    assert (found.published.to_date, found.now, found.difference) == (
        Money(182_29), Money(160_64), Money(-21_65),
    )  # fmt: skip
    assert [row.entry for row in found.because] == [9]
    assert found.unexplained == Money.zero


def test_the_month_of_the_keys_is_the_one_readers_know_even_after_a_later_month_told_the_change() -> None:
    costs = [line(182_29), line(-21_65, month="2026-04"), line(5_00, month="2026-05")]
    records = [
        ("2026-03", 1, told(("Alder", 182_29, 182_29))),
        ("2026-04", 1, told(("Alder", -21_65, 160_64))),
    ]
    known = published_of(records, "Alder", "compact car", "Brakes", costs)
    assert [(row.month, row.to_date.minor) for row in known] == [("2026-03", 182_29), ("2026-04", 160_64)]
    finished, under_way = since(known, costs, "2026-03"), since(known, costs, None)
    assert finished is not None
    assert under_way is not None
    assert finished.difference == Money(-16_65)
    assert under_way.difference == Money(5_00)


def test_a_record_that_the_ledger_does_not_bear_out_leaves_a_rest_that_is_shown() -> None:
    costs = [line(182_29)]
    known = published_of(
        [("2026-03", 1, told(("Alder", 180_00, 180_00)))], "Alder", "compact car", "Brakes", costs
    )
    found = since(known, costs, None)
    assert found is not None
    assert found.unexplained == Money(2_29)


def test_two_repairs_of_one_household_are_told_apart_by_their_cost_or_not_at_all() -> None:
    both = told(("Alder", 10_00, 10_00), ("Alder", 20_00, 20_00))
    found = published_of([("2026-03", 1, both)], "Alder", "compact car", "Brakes", [line(20_00)])
    assert [row.to_date for row in found] == [Money(20_00)]
    same = told(("Alder", 20_00, 20_00), ("Alder", 20_00, 20_00))
    assert published_of([("2026-03", 1, same)], "Alder", "compact car", "Brakes", [line(20_00)]) == []


def test_nothing_published_nothing_to_compare() -> None:
    assert since([], [line(20_00)], None) is None
