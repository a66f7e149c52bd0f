"""Who may say yes up to how much: an owner, a treasurer in an owner's place, two people above."""

import pytest

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve, supplement
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import request_supplement
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db
TRIED = "Rang at 9:40 and 10:15, no answer"


@pytest.fixture
def rich(treasurer: Person, owner: Person) -> None:
    money_in_bank(treasurer, 9_000_00)


def waiting(screener: Person, volunteer: Person, treasurer: Person, cost: int) -> RepairOrder:
    return ready(screener, volunteer, treasurer, part(cost, "starter"), name=f"Household of {cost}")


def test_the_owner_cannot_be_reached_and_the_car_blocks_the_bay_the_treasurer_approves_up_to_a_limit(
    rich: None, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = waiting(screener, volunteer, treasurer, 150_00)
    row = approve(by=treasurer, repair=repair, reason="It blocks the bay", unreachable=TRIED)
    assert (row.approver, row.amount, row.on) == (treasurer, Money(150_00), TODAY)
    assert (row.snapshot["owner_unreachable"], row.snapshot["delegate_limit"]) == (TRIED, 150_00)
    assert any(TRIED in rule["words"] and rule["kept"] for rule in row.snapshot["rules"])
    assert open_for(repair.number) == Money(150_00)


def test_a_cent_above_that_limit_waits_for_an_owner(
    rich: None, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = waiting(screener, volunteer, treasurer, 150_01)
    with pytest.raises(NotReady, match=r"\$150.01 is above the \$150.00 .* Wait for an owner"):
        approve(by=treasurer, repair=repair, unreachable=TRIED)
    assert open_for(repair.number) == Money.zero


def test_without_saying_how_an_owner_was_tried_it_waits(
    rich: None, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = waiting(screener, volunteer, treasurer, 100_00)
    with pytest.raises(NotReady, match="when none can be reached"):
        approve(by=treasurer, repair=repair, unreachable="  ")


def test_a_yes_in_an_owners_place_is_not_dated_back(
    rich: None, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = waiting(screener, volunteer, treasurer, 100_00)
    with pytest.raises(BadInput, match="never dated back"):
        approve(by=treasurer, repair=repair, unreachable=TRIED, on=TODAY.replace(day=14))


def test_the_limit_looks_at_the_whole_repair_so_a_supplement_cannot_creep_past_it(
    rich: None, screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    repair = waiting(screener, volunteer, treasurer, 120_00)
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    request_supplement(by=volunteer, repair=repair, lines=part(40_00, "cable"), reason="Cable burnt")
    with pytest.raises(NotReady, match=r"\$160.00 is above"):
        supplement(by=treasurer, repair=repair, unreachable=TRIED)
    assert supplement(by=owner, repair=repair).amount == Money(40_00)


def test_the_one_who_asks_never_decides_in_an_owners_place(
    rich: None, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = ready(screener, volunteer, treasurer, part(90_00), mechanic=treasurer)
    with pytest.raises(TwoPeopleNeeded, match="does the work"):
        approve(by=treasurer, repair=repair, unreachable=TRIED)


def test_the_limits_are_dated_rules_and_a_decision_keeps_those_it_used(
    rich: None, screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    early = waiting(screener, volunteer, treasurer, 100_00)
    first = approve(by=treasurer, repair=early, unreachable=TRIED)
    set_rule(by=owner, name="delegate_limit", value="50.00", valid_from=TODAY, reason="Less from now on")
    set_rule(by=owner, name="owner_limit", value="80.00", valid_from=TODAY, reason="Less from now on")
    late = ready(screener, volunteer, treasurer, part(100_01), name="Late household")
    answer_relation(by=owner, repair=late, tie=False)
    with pytest.raises(NotReady, match=r"above the \$50.00"):
        approve(by=treasurer, repair=late, unreachable=TRIED)
    with pytest.raises(TwoPeopleNeeded, match=r"above the \$80.00 one person may approve"):
        approve(by=owner, repair=late)
    first.refresh_from_db()
    assert (first.snapshot["delegate_limit"], first.snapshot["owner_limit"]) == (150_00, 750_00)


def test_the_tolerance_rule_in_force_is_frozen_with_the_approval(
    rich: None, screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    for name, value in (("tolerance_shape", "greater of both, capped"), ("tolerance_dollars", "10.00")):
        set_rule(by=owner, name=name, value=value, valid_from=TODAY, reason="The law of our state")
    # Florida Statutes 559.909, lawserver.com (2024): $10 or 10%, whichever is greater, not above $50. 80 gives 10.
    row = approve(by=owner, repair=ready(screener, volunteer, owner, part(80_00)))
    assert row.tolerance == Money(10_00)
    set_rule(by=owner, name="tolerance_shape", value="none", valid_from=TODAY, reason="Back again")
    row.refresh_from_db()
    assert row.snapshot["tolerance_rule"] == {
        "shape": "greater of both, capped",
        "percent": 10,
        "dollars": 10_00,
        "cap": 50_00,
        "words": "10% or $10.00, whichever is more, at most $50.00",
    }
    later = approve(by=owner, repair=ready(screener, volunteer, owner, part(80_00), name="Later"))
    assert later.tolerance == Money.zero
