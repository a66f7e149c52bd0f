"""Above the owner's limit it takes two people, each with a yes to the very same estimate."""

import pytest

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from fund.refusal import BadInput, TwoPeopleNeeded
from jobs.approvals.actions import agree, approve
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def dear(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner, part(750_01, "transmission"))
    answer_relation(by=treasurer, repair=repair, tie=False)
    return repair


def test_at_the_limit_one_yes_is_enough(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner, part(750_00))
    assert approve(by=owner, repair=repair).amount == Money(750_00)


def test_a_cent_above_it_waits_for_a_second_person(dear: RepairOrder, owner: Person) -> None:
    with pytest.raises(TwoPeopleNeeded, match=r"\$750.01 is above the \$750.00"):
        approve(by=owner, repair=dear)
    assert open_for(dear.number) == Money.zero


def test_the_first_yes_promises_nothing_and_the_second_commits(
    dear: RepairOrder, owner: Person, treasurer: Person
) -> None:
    agree(by=treasurer, repair=dear)
    assert open_for(dear.number) == Money.zero
    approve(by=owner, repair=dear)
    assert open_for(dear.number) == Money(750_01)
    assert [row.kind for row in dear.approvals.all()] == ["agreement", "approval"]


def test_the_order_may_be_the_other_way_round(dear: RepairOrder, owner: Person, treasurer: Person) -> None:
    agree(by=owner, repair=dear)
    assert approve(by=treasurer, repair=dear).approver == treasurer


def test_one_person_never_gives_both(dear: RepairOrder, owner: Person) -> None:
    agree(by=owner, repair=dear)
    with pytest.raises(TwoPeopleNeeded, match="agreed first"):
        approve(by=owner, repair=dear)


def test_a_first_yes_lapses_when_the_estimate_changes(
    dear: RepairOrder, owner: Person, treasurer: Person, volunteer: Person
) -> None:
    agree(by=treasurer, repair=dear)
    set_estimate(by=volunteer, repair=dear, lines=part(800_00, "transmission"))
    with pytest.raises(TwoPeopleNeeded, match="second person agrees first"):
        approve(by=owner, repair=dear)


def test_within_the_limit_there_is_nothing_to_agree_to(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner)
    with pytest.raises(BadInput, match="within what one person may approve"):
        agree(by=owner, repair=repair)
