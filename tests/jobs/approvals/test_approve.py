from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import allowance, open_for, position
from fund.ledger.actions import add_purpose
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotEnoughMoney, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.models import Approval
from jobs.estimates.actions import set_estimate
from jobs.estimates.rules import Kind, LineDraft
from jobs.repairs.actions import assign_mechanic
from jobs.repairs.rules import State
from tests.conftest import TODAY
from tests.jobs.workshop import (
    BRAKES,
    checked_in,
    eligible,
    money_in_bank,
    part,
    priced,
    ready,
    without_share,
)

pytestmark = pytest.mark.django_db

RESERVE = 1_000_00


def test_a_yes_promises_the_cost_and_moves_the_repair(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approval = approve(by=owner, repair=repair, reason="Needed for work")
    repair.refresh_from_db()
    assert (repair.state, repair.approved_on) == (State.APPROVED, TODAY)
    assert (approval.kind, approval.amount, approval.tolerance) == ("approval", Money(182_29), Money(18_22))
    assert open_for("RO-0001") == Money(182_29)
    assert allowance("RO-0001").limit == Money(200_51)
    assert position().free_to_commit == Money(3_000_00 - RESERVE - 182_29)


def test_core_deposits_are_not_promised(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    lines = (*part(232_73, "alternator"), LineDraft(Kind.CORE, "old alternator", Money(55_00)))
    repair = ready(screener, volunteer, owner, lines)
    approval = approve(by=owner, repair=repair)
    assert approval.amount == Money(232_73)
    assert approval.snapshot["core_deposits"] == 55_00
    assert open_for("RO-0001") == Money(232_73)


def test_exactly_what_is_free_passes(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    without_share(owner)
    money_in_bank(treasurer, RESERVE + 400_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    assert position().free_to_commit == Money.zero


def test_one_cent_more_than_is_free_is_refused_with_every_subtraction(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, RESERVE + 500_00)
    approve(by=owner, repair=ready(screener, volunteer, owner, part(100_00), "One"))
    repair = ready(screener, volunteer, owner, part(400_01), "Two")
    with pytest.raises(NotEnoughMoney) as refused:
        approve(by=owner, repair=repair)
    said = str(refused.value)
    assert "400.01" in said
    assert "0.01 short" in said
    assert "Bank 1,500.00" in said
    assert "reserve kept back by the owner 1,000.00" in said
    assert "promised to repairs, not yet spent 100.00" in said
    repair.refresh_from_db()
    assert repair.state == State.ESTIMATED
    assert open_for(repair.number) == Money.zero
    assert not repair.approvals.exists()


def test_every_figure_is_frozen_and_the_row_is_never_changed(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    frozen = approve(by=owner, repair=repair, reason="Needed for work").snapshot
    assert [line["amount"] for line in frozen["estimate"]] == [168_40, 13_89]
    assert frozen["household"]["size"] == 1
    assert frozen["household"]["guideline"] == 15_960_00
    assert frozen["position_before"]["free_to_commit"] == 2_000_00
    assert frozen["position_after"]["free_to_commit"] == 2_000_00 - 182_29
    labels = {row["label"]: row["amount"] for row in frozen["position_after"]["subtractions"]}
    assert labels["Promised to repairs, not yet spent"] == 182_29
    assert {row["part"]: row["tie"] for row in frozen["relations"]} == {
        "screened the household": False,
        "opened it": False,
        "priced it": False,
        "decides": False,
    }
    assert "1,000.00" not in str(frozen["household"])
    for change in ("UPDATE jobs_approval SET amount = 1", "DELETE FROM jobs_approval"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(change)
    with pytest.raises(DatabaseError), transaction.atomic():
        Approval.objects.update(reason="another")


def test_a_changed_rule_leaves_the_frozen_tolerance(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    approval = approve(by=owner, repair=ready(screener, volunteer, owner, part(700_00)))
    assert approval.tolerance == Money(50_00)
    set_rule(by=owner, name="tolerance_percent", value="0", valid_from=TODAY, reason="Tried it")
    approval.refresh_from_db()
    assert approval.tolerance == Money(50_00)
    later = approve(by=owner, repair=ready(screener, volunteer, owner, part(700_00), "Two"))
    assert later.tolerance == Money.zero


def test_who_opened_or_priced_it_never_approves(screener: Person, owner: Person, treasurer: Person) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(owner, eligible(screener))
    with pytest.raises(TwoPeopleNeeded, match="Maren Holt opened it and priced it"):
        approve(by=owner, repair=repair)
    answer_relation(by=treasurer, repair=repair, tie=False)
    assert approve(by=treasurer, repair=repair).approver == treasurer


def test_who_does_the_work_never_approves(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    assign_mechanic(by=volunteer, repair=repair, mechanic=owner)
    with pytest.raises(TwoPeopleNeeded, match="does the work"):
        approve(by=owner, repair=repair)


def test_who_approved_it_cannot_take_the_work(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    with pytest.raises(NotReady, match="approved RO-0001"):
        assign_mechanic(by=volunteer, repair=repair, mechanic=owner)


def test_the_treasurer_alone_waits_for_the_owner(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, treasurer)
    with pytest.raises(NotReady, match="An owner decides"):
        approve(by=treasurer, repair=repair)
    answer_relation(by=owner, repair=repair, tie=True, words="my neighbor's son")
    assert approve(by=treasurer, repair=repair).snapshot["reason"] == ""


def test_an_owner_with_a_tie_never_approves(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(volunteer, eligible(screener))
    answer_relation(by=owner, repair=repair, tie=True, words="a cousin")
    with pytest.raises(TwoPeopleNeeded, match="has a tie"):
        approve(by=owner, repair=repair)


def test_a_mechanic_with_a_tie_may_work_and_is_shown(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, mechanic=volunteer2)
    answer_relation(by=volunteer2, repair=repair, tie=True, words="a cousin")
    frozen = approve(by=owner, repair=repair).snapshot["relations"]
    assert {"person": "Jun Okafor", "part": "does the work", "tie": True} in frozen


def test_it_waits_until_everyone_in_the_chain_has_answered(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = priced(volunteer, eligible(screener), mechanic=volunteer2)
    with pytest.raises(NotReady, match="Jun Okafor, Maren Holt"):
        approve(by=owner, repair=repair)


def test_eligibility_out_of_date_stops_it_on_the_day_after(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    last = TODAY + timedelta(days=90)
    with clock.at(last + timedelta(days=1)), pytest.raises(NotReady, match="ran out on 2026-06-13"):
        approve(by=owner, repair=repair)
    with clock.at(last):
        assert approve(by=owner, repair=repair).on == last


def test_no_cause_no_approval(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = checked_in(volunteer, eligible(screener))
    set_estimate(by=volunteer, repair=repair, lines=BRAKES)
    for person in (volunteer, owner):
        answer_relation(by=person, repair=repair, tie=False)
    with pytest.raises(NotReady, match="cause is not written"):
        approve(by=owner, repair=repair)


def test_a_second_yes_to_the_same_estimate_is_refused(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    with pytest.raises(NotReady, match="RO-0001 is approved"):
        approve(by=owner, repair=repair)
    assert open_for("RO-0001") == Money(182_29)


def test_a_decision_is_never_dated_back(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    with pytest.raises(BadInput, match="never dated back"):
        approve(by=owner, repair=repair, on=TODAY - timedelta(days=1))


def test_volunteers_and_screeners_approve_nothing(screener: Person, volunteer: Person, owner: Person) -> None:
    repair = ready(screener, volunteer, owner)
    for person in (volunteer, screener):
        with pytest.raises(NotAllowed, match="approve a repair"):
            approve(by=person, repair=repair)


def test_a_restricted_gift_pays_first_and_free_money_the_rest(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    without_share(owner)
    add_purpose(by=treasurer, code="tires", name="Tires")
    money_in_bank(treasurer, RESERVE + 100_00)
    money_in_bank(treasurer, 300_00, "tires")
    repair = ready(screener, volunteer, owner, part(325_42, "two tires"))
    approval = approve(by=owner, repair=repair, purpose="tires")
    assert approval.purpose == "tires"
    assert approval.snapshot["from_restricted"] == 300_00
    assert position().free_to_commit == Money(100_00 - 25_42)
