from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.money import Money, split
from reports.month.rules import Row, Steps, cost_summary, dollar_split, state_on, story


@pytest.mark.parametrize(
    ("seats", "people", "result"),
    [
        # Largest remainder (Hamilton), published classroom examples: solvely.ai; a coursehero.com handout; answerspace.ai.
        (42, [247_000, 185_000, 459_000, 400_000, 413_000], [6, 5, 11, 10, 10]),
        (25, [63, 34, 14, 12, 10, 6], [11, 6, 3, 2, 2, 1]),
        (53, [93, 154, 486, 249, 223, 156], [3, 6, 19, 10, 9, 6]),
    ],
)
def test_the_method_gives_the_published_apportionments(
    seats: int, people: list[int], result: list[int]
) -> None:
    assert [share.minor for share in split(Money(seats), people)] == result


def test_the_cents_of_a_dollar_by_hand() -> None:
    # Quotas of 1,336.09: 70.436, 3.293, 3.450, 13.090, 0.898, 8.832. Floors give 97; the three cents left go to
    # 0.898, 0.832 and 0.450. Worked with pen and paper.
    spent = {"parts": 94109, "cores": 4400, "supplies": 4610, "fees": 17490, "bank": 1200, "admin": 11800}
    shares = dollar_split([Row(key, key, Money(amount)) for key, amount in spent.items()])
    assert [(row.key, cents) for row, cents in shares] == [
        ("parts", 70), ("fees", 13), ("admin", 9), ("supplies", 4), ("cores", 3), ("bank", 1),
    ]  # fmt: skip


@given(st.lists(st.integers(-10_000, 10_000_000), max_size=12))
def test_a_dollar_is_always_a_hundred_cents(amounts: list[int]) -> None:
    shares = dollar_split([Row(str(place), "", Money(amount)) for place, amount in enumerate(amounts)])
    assert sum(cents for _, cents in shares) == (100 if any(amount > 0 for amount in amounts) else 0)
    assert all(row.amount > Money.zero for row, _ in shares)


def test_no_range_below_five_jobs() -> None:
    costs = [Money(amount) for amount in (18229, 23273, 20065, 32542)]
    assert cost_summary(costs) is None
    assert cost_summary([*costs, Money(9500)]) == (Money(20065), Money(9500), Money(32542))


def test_the_median_of_an_even_number_lies_between_the_middle_two() -> None:
    costs = [Money(amount) for amount in (100, 200, 300, 401, 500, 600)]
    summary = cost_summary(costs)
    assert summary is not None
    assert summary[0] == Money(351)


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        (
            ("grinding.", "front pads to metal", "pads and rotors replaced."),
            "Grinding. Front pads to metal. Pads and rotors replaced.",
        ),
        (("died at lights", "", ""), "Died at lights."),
        (("two\nlines", " ", "done"), "Two lines. Done."),
        (("", "", ""), ""),
    ],
)
def test_three_cs_become_one_line(parts: tuple[str, str, str], told: str) -> None:
    assert story(*parts) == told


def test_a_repair_is_told_as_it_stood_at_the_end_of_the_month() -> None:
    steps = Steps(
        estimated=date(2026, 3, 2),
        approved=date(2026, 3, 3),
        started=date(2026, 3, 30),
        tested=date(2026, 4, 1),
        handed_back=date(2026, 4, 2),
        stopped_as="handed back",
    )
    assert state_on(steps, date(2026, 3, 31)) == "in the bay"
    assert state_on(steps, date(2026, 3, 3)) == "approved, waiting for parts"
    assert state_on(steps, date(2026, 4, 2)) == "handed back"
    assert state_on(steps, date(2026, 3, 1)) == "checked in"
    assert (
        state_on(Steps(stopped=date(2026, 3, 5), stopped_as="diagnosed, not repaired"), date(2026, 3, 5))
        == "diagnosed, not repaired"
    )
