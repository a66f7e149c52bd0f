import pytest

from fund.access.models import Person
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve, decline, put_off
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.repairs.rules import State
from tests.jobs.workshop import BRAKES, eligible, money_in_bank, priced, ready

pytestmark = pytest.mark.django_db


def test_a_no_keeps_its_reason_and_promises_nothing(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner)
    row = decline(by=owner, repair=repair, reason="Worth more than the vehicle")
    repair.refresh_from_db()
    assert repair.state == State.DECLINED
    assert repair.stop_reason == "Worth more than the vehicle"
    assert row.kind == "decline"
    assert row.snapshot["cost"] == 182_29


def test_a_declined_repair_can_be_priced_anew(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    decline(by=owner, repair=repair, reason="Try a used part")
    set_estimate(by=volunteer, repair=repair, lines=BRAKES)
    assert repair.stop_reason == ""
    assert approve(by=owner, repair=repair).kind == "approval"


def test_a_no_needs_words(screener: Person, volunteer: Person, owner: Person) -> None:
    repair = ready(screener, volunteer, owner)
    with pytest.raises(BadInput, match="Say why"):
        decline(by=owner, repair=repair, reason=" ")


def test_someone_with_a_tie_says_neither_yes_nor_no(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = priced(volunteer, eligible(screener))
    answer_relation(by=owner, repair=repair, tie=True, words="my sister")
    for decide in (decline, put_off):
        with pytest.raises(TwoPeopleNeeded, match="has a tie"):
            decide(by=owner, repair=repair, reason="Because")


def test_an_approved_repair_is_not_declined(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    with pytest.raises(NotReady, match="RO-0001 is approved"):
        decline(by=owner, repair=repair, reason="Changed my mind")


def test_put_off_keeps_it_waiting_with_the_reason(screener: Person, volunteer: Person, owner: Person) -> None:
    repair = ready(screener, volunteer, owner)
    row = put_off(by=owner, repair=repair, reason="Wait for the next payout")
    repair.refresh_from_db()
    assert repair.state == State.ESTIMATED
    assert (row.kind, row.reason) == ("later", "Wait for the next payout")
