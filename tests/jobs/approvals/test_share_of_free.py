"""A dated share of what is free to commit: one person may approve up to it, two people above."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from fund.access.models import Person
from fund.commitments.queries import open_for, position
from fund.ledger.actions import add_purpose
from fund.money import Money
from fund.refusal import BadInput, NotEnoughMoney, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import agree, approve, supplement
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.proofs import APPROVAL_PROOFS
from jobs.approvals.rules_case import Case, Voice
from jobs.approvals.rules_ladder import rungs, takes_two
from jobs.estimates.actions import request_supplement
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.jobs.pressed import press
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
RESERVE = 1_000_00


def case(cost: int, free: int, *, standing: int = 0, percent: int = 25, limit: int = 750_00) -> Case:
    """A case of which only the ladder matters."""
    return Case(
        number="RO-0001",
        on=TODAY,
        approver=Voice(1, "Maren Holt", "decides", tie=False),
        approver_is_owner=True,
        owner_stands_aside=False,
        chain=(),
        eligible_until=TODAY,
        cause="found",
        cost=Money(cost),
        standing_cost=Money(standing),
        supplement=bool(standing),
        owner_limit=Money(limit),
        agreed_by=None,
        agreed_is_owner=False,
        free=Money(free),
        free_general=Money(free),
        general_before=Money(standing),
        share_percent=percent,
    )


@pytest.mark.parametrize(
    ("cost", "free", "standing", "percent", "two"),
    [
        # A quarter of 1,000.00 is 250.00: the percentage is common practice, its arithmetic is done by hand.
        (250_00, 1_000_00, 0, 25, False),
        (250_01, 1_000_00, 0, 25, True),
        (250_00, 999_99, 0, 25, True),
        # A third that no cent hits: 33% of 100.01 is 33.0033, so 33.00 is within and 33.01 is not.
        (33_00, 100_01, 0, 33, False),
        (33_01, 100_01, 0, 33, True),
        (1, 4, 0, 25, False),
        (2, 4, 0, 25, True),
        # Off, whatever it takes; and all of it where the fund says 100.
        (749_99, 750_00, 0, 0, False),
        (750_00, 750_00, 0, 100, False),
        # What is not there is the money's to refuse, not the ladder's.
        (100_01, 100_00, 0, 25, False),
        (1, 0, 0, 25, False),
        # 200.00 approved of 1,000.00 leaves 800.00; 50.00 more is a quarter in all, a cent more is not.
        (50_00, 800_00, 200_00, 25, False),
        (50_01, 800_00, 200_00, 25, True),
        # A changed cause at the same cost takes nothing more.
        (0, 0, 200_00, 25, False),
    ],
)
def test_exactly_at_the_share_is_one_persons_and_a_cent_over_is_not(
    cost: int, free: int, standing: int, percent: int, two: bool
) -> None:
    assert takes_two(case(cost, free, standing=standing, percent=percent)) is two


def test_each_rung_says_its_figures_and_the_one_that_is_passed_is_named() -> None:
    found = rungs(case(300_00, 1_000_00))
    assert [(rung.rule, rung.above) for rung in found] == [("limit", False), ("share", True)]
    assert found[0].words == "$300.00 is within the $750.00 one person may approve."
    assert found[1].words == (
        "$300.00 is 30% of the $1,000.00 free to commit; one person may approve up to 25% of it, $250.00."
    )
    both = rungs(case(800_00, 1_000_00))
    assert [rung.rule for rung in both if rung.above] == ["limit", "share"]
    dollars = rungs(case(800_00, 9_000_00))
    assert [rung.rule for rung in dollars if rung.above] == ["limit"]


@pytest.fixture
def four(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> Callable[[int], RepairOrder]:
    """A priced repair of so many cents in a fund with exactly 1,000.00 free to commit."""
    money_in_bank(treasurer, RESERVE + 1_000_00)

    def make(cost: int, name: str = "Person of the tests") -> RepairOrder:
        repair = ready(screener, volunteer, owner, part(cost), name=name)
        answer_relation(by=treasurer, repair=repair, tie=False)
        return repair

    return make


def test_a_quarter_of_what_is_free_needs_one_yes(four: Callable[[int], RepairOrder], owner: Person) -> None:
    repair = four(250_00)
    row = approve(by=owner, repair=repair)
    assert open_for(repair.number) == Money(250_00)
    assert row.snapshot["share_one_may_approve_percent"] == 25
    assert (row.snapshot["share_of_free_percent"], row.snapshot["free_counted"]) == (25, 1_000_00)
    assert row.snapshot["second_person"] == []


def test_a_cent_more_waits_for_a_second_person_and_says_why(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person
) -> None:
    repair = four(250_01)
    with pytest.raises(TwoPeopleNeeded) as refused:
        approve(by=owner, repair=repair)
    assert refused.value.sentence == (
        "$250.01 is 26% of the $1,000.00 free to commit; one person may approve up to 25% of it, $250.00. "
        "A second person agrees first."
    )
    assert open_for(repair.number) == Money.zero
    agree(by=owner, repair=repair)
    with pytest.raises(TwoPeopleNeeded, match="Maren Holt agreed first, so someone else"):
        approve(by=owner, repair=repair)
    agree(by=treasurer, repair=repair)
    row = approve(by=owner, repair=repair)
    assert open_for(repair.number) == Money(250_01)
    assert len(row.snapshot["second_person"]) == 1
    assert "26% of the $1,000.00" in row.snapshot["second_person"][0]
    assert [proof for _, prove in APPROVAL_PROOFS for proof in prove()] == []


def test_within_the_share_there_is_nothing_to_agree_to(
    four: Callable[[int], RepairOrder], treasurer: Person
) -> None:
    with pytest.raises(BadInput, match="within what one person may approve"):
        agree(by=treasurer, repair=four(250_00))


def test_supplements_cannot_creep_past_the_share(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person, volunteer: Person
) -> None:
    repair = four(200_00)
    approve(by=owner, repair=repair)
    request_supplement(by=volunteer, repair=repair, lines=part(50_01, "hose"), reason="Hose cracked")
    with pytest.raises(TwoPeopleNeeded, match=r"\$250.01 is 26% of the \$1,000.00 free to commit without it"):
        supplement(by=owner, repair=repair)
    agree(by=treasurer, repair=repair)
    assert supplement(by=owner, repair=repair).amount == Money(50_01)
    assert position().free_to_commit == Money(1_000_00 - 250_01)


def test_what_a_restricted_gift_pays_takes_nothing_of_what_is_free(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person, volunteer: Person
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, 200_00, "tires")
    repair = four(450_00)
    row = approve(by=owner, repair=repair, purpose="tires")
    assert (row.snapshot["free_counted"], row.snapshot["share_of_free_percent"]) == (1_000_00, 25)
    request_supplement(by=volunteer, repair=repair, lines=part(1, "valve stem"), reason="Leaks")
    with pytest.raises(TwoPeopleNeeded, match=r"\$250.01 is 26% of the \$1,000.00 free to commit without it"):
        supplement(by=owner, repair=repair)


def test_a_cent_of_general_money_too_many_beside_a_gift_takes_two(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person
) -> None:
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, 200_00, "tires")
    with pytest.raises(
        TwoPeopleNeeded, match=r"\$250.01 beside the restricted gift is 26% of the \$1,000.00"
    ):
        approve(by=owner, repair=four(450_01), purpose="tires")


def test_more_than_is_there_is_refused_for_the_money_whoever_agrees(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person
) -> None:
    set_rule(by=owner, name="owner_limit", value="5000.00", valid_from=TODAY, reason="Test")
    with pytest.raises(NotEnoughMoney, match="0.01 short"):
        approve(by=owner, repair=four(1_000_01))


def test_it_is_a_dated_rule_and_a_decision_keeps_the_share_it_used(
    four: Callable[[int, str], RepairOrder], owner: Person
) -> None:
    first = approve(by=owner, repair=four(100_00, "First"))
    set_rule(by=owner, name="free_share_percent", value="10", valid_from=TODAY, reason="Lean months")
    with pytest.raises(TwoPeopleNeeded, match=r"up to 10% of it, \$90.00"):
        approve(by=owner, repair=four(90_01, "Second"))
    later = TODAY + timedelta(days=1)
    set_rule(by=owner, name="free_share_percent", value="50", valid_from=later, reason="From tomorrow")
    with pytest.raises(TwoPeopleNeeded, match="up to 10%"):
        approve(by=owner, repair=RepairOrder.objects.get(number="RO-0002"))
    first.refresh_from_db()
    assert first.snapshot["share_one_may_approve_percent"] == 25


@pytest.mark.parametrize("value", ["0", "", "  "])
def test_nothing_or_zero_takes_the_rule_away(
    four: Callable[[int], RepairOrder], owner: Person, value: str
) -> None:
    row = set_rule(by=owner, name="free_share_percent", value=value, valid_from=TODAY, reason="Three of us")
    assert row.value == "0"
    made = approve(by=owner, repair=four(750_00))
    assert (made.amount, made.snapshot["share_one_may_approve_percent"]) == (Money(750_00), 0)


def test_the_page_says_which_limit_asks_for_the_second_person_and_offers_the_first_yes(
    four: Callable[[int], RepairOrder], owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    repair = four(400_00)
    url = f"/crew/repairs/{repair.number}/approval/"
    page = client_for(treasurer).get(url).content.decode()
    assert "It takes 40% of what is free. One person may approve 25%: $250.00." in page
    assert "Two people say yes to this" in page
    assert "$400.00 is 40% of the $1,000.00 free to commit; one person may approve up to 25% of it" in page
    assert "Give the first of two yeses" in page
    said = {"tie": "no", "words": "", "purpose": "general", "reason": ""}
    assert press(client_for(treasurer), url, {**said, "decision": "first"}).status_code == 302
    page = client_for(owner).get(url).content.decode()
    assert "Odell Price has agreed to it." in page
    assert press(client_for(owner), url, {**said, "decision": "yes"}).status_code == 302
    assert open_for(repair.number) == Money(400_00)
    kept = repair.approvals.get(kind="approval")
    frozen = client_for(owner).get(f"/crew/repairs/{repair.number}/approval/{kept.pk}/").content.decode()
    assert "40% of $1,000.00; one person could approve 25%" in frozen


def test_the_page_of_the_rule_takes_an_empty_value_as_off(owner: Person, client_for: SignIn) -> None:
    answer = client_for(owner).post(
        "/crew/rules/free_share_percent/",
        {"value": "", "valid_from": TODAY.isoformat(), "reason": "Three of us decide anyway"},
    )
    assert answer.status_code == 302
    page = client_for(owner).get("/crew/rules/free_share_percent/").content.decode()
    assert "A quarter is common practice. 0 or nothing: no such limit." in page
