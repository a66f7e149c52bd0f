"""The stated order as plain arithmetic, and the same order as the database finds it."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund import clock
from fund.access.models import Person
from fund.rulebook.actions import set_rule
from jobs.intake.actions import open_application
from jobs.intake.models import Application
from jobs.intake.queries import applications, waiting_list
from jobs.intake.queries_order import place_of, weights_on
from jobs.intake.rules_order import Waiting, Weights, explained, in_order, in_words, parts, points
from tests.jobs.intake.people import asking

DAY = date(2026, 3, 15)
WEIGHTS = Weights(safety=100, need=30, dependence=20, day=1)


def waiting(code: str = "A-0001", **changes: object) -> Waiting:
    told = {"drivable": "yes", "need": "other", "other_way": "vehicle", "asked_on": DAY}
    return Waiting(code=code, **(told | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ({}, 0),
        ({"drivable": "unsafe"}, 100),
        ({"drivable": "no"}, 0),
        ({"need": "treatment"}, 60),
        ({"need": "work"}, 30),
        ({"need": "study"}, 30),
        ({"need": "care"}, 30),
        ({"other_way": "none"}, 40),
        ({"other_way": "hard"}, 20),
        ({"other_way": ""}, 0),
        ({"asked_on": DAY - timedelta(days=12)}, 12),
        ({"asked_on": DAY + timedelta(days=1)}, 0),
        ({"drivable": "unsafe", "need": "treatment", "other_way": "none", "asked_on": date(2026, 3, 1)}, 214),
    ],
)
def test_points_are_the_sum_of_what_is_stated(told: dict[str, object], expected: int) -> None:
    assert points(waiting("A-0001", **told), WEIGHTS, DAY) == expected


def test_a_household_is_told_its_points_in_a_sentence() -> None:
    one = waiting(drivable="unsafe", need="work", asked_on=date(2026, 3, 14))
    assert explained(parts(one, WEIGHTS, DAY)) == (
        "131 points: 100 because it is not safe to drive, 30 because it is needed to get to work, 1 for 1 day of waiting."
    )
    assert explained(parts(waiting(), WEIGHTS, DAY)).startswith("No points yet")


def test_the_rule_itself_names_every_weight() -> None:
    told = in_words(Weights(safety=71, need=13, dependence=17, day=3))
    for figure in ("has 71.", "26; for work, school or care, 13.", "are 34 more", "hard, 17.", "adds 3."):
        assert figure in told


def test_among_equals_whoever_asked_first_comes_first() -> None:
    late, early = waiting("A-0002", asked_on=date(2026, 3, 9)), waiting("A-0009", asked_on=date(2026, 3, 8))
    twin = waiting("A-0001", asked_on=date(2026, 3, 9))
    no_days = Weights(safety=100, need=30, dependence=20, day=0)
    assert [row.code for row in in_order([late, early, twin], no_days, DAY)] == ["A-0009", "A-0001", "A-0002"]


@given(
    rows=st.lists(
        st.builds(
            waiting,
            code=st.integers(1, 9999).map(lambda number: f"A-{number:04}"),
            drivable=st.sampled_from(["yes", "no", "unsafe"]),
            need=st.sampled_from(["treatment", "work", "study", "care", "other"]),
            other_way=st.sampled_from(["none", "hard", "vehicle", ""]),
            asked_on=st.dates(date(2025, 1, 1), DAY),
        ),
        max_size=8,
        unique_by=lambda row: row.code,
    ),
    later=st.integers(0, 400),
)
def test_waiting_longer_together_changes_nobody_s_place(rows: list[Waiting], later: int) -> None:
    then = DAY + timedelta(days=later)
    assert in_order(rows, WEIGHTS, DAY) == in_order(rows, WEIGHTS, then)


def ask_some(by: Person) -> list[Application]:
    told = [
        ("other", "yes", "vehicle", date(2026, 1, 4)),
        ("work", "yes", "none", date(2026, 3, 9)),
        ("work", "no", "hard", date(2026, 3, 5)),
        ("treatment", "yes", "", date(2026, 3, 12)),
        ("other", "unsafe", "vehicle", date(2026, 3, 14)),
        ("care", "unsafe", "none", date(2026, 3, 15)),
        ("study", "yes", "hard", date(2026, 3, 5)),
    ]
    return [
        open_application(
            by=by,
            asking=asking(complaint=f"Noise {place}", need=need, drivable=drives, other_way=way),
            submitted_on=on,
        )
        for place, (need, drives, way, on) in enumerate(told)
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "value"), [("wait_day", "1"), ("wait_need", "400"), ("wait_day", "0")])
def test_the_database_finds_the_same_points_and_order_as_the_rule(
    screener: Person, owner: Person, name: str, value: str
) -> None:
    made = ask_some(screener)
    set_rule(by=owner, name=name, value=value, valid_from=DAY, reason="Tried out")
    expected = [row.code for row in in_order([row.waiting for row in made], weights_on(DAY), DAY)]
    found = list(waiting_list())
    assert [row.code for row in found] == expected
    assert [row.code for row in applications()] == expected
    for place, row in enumerate(found, start=1):
        assert row.points == points(row.waiting, weights_on(DAY), DAY)  # type: ignore[attr-defined]
        stands = place_of(row)
        assert stands and (stands.number, stands.of) == (place, len(made))


@pytest.mark.django_db
def test_new_weights_count_from_their_day_on(screener: Person, owner: Person) -> None:
    ask_some(screener)
    before = [row.code for row in waiting_list()]
    set_rule(by=owner, name="wait_safety", value="0", valid_from=date(2026, 3, 20), reason="Tried out")
    assert [row.code for row in waiting_list()] == before
    with clock.at(date(2026, 3, 20)):
        assert [row.code for row in waiting_list()] != before


@pytest.mark.django_db
def test_a_request_that_is_not_open_has_no_place(screener: Person) -> None:
    one = ask_some(screener)[0]
    one.state = "withdrawn"
    assert place_of(one) is None
