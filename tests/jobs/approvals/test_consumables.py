"""The lowest rung: the mechanic alone takes fluids and small supplies before the owner has decided."""

from datetime import timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.commitments.proofs import commitment_breaks
from fund.commitments.queries import allowance, open_for, position
from fund.commitments.queries_idle import promised
from fund.ledger.queries import cost_of
from fund.money import Money
from fund.receipts.actions import post_receipt
from fund.refusal import BadInput, NotAllowed, NotEnoughMoney, NotReady, Refusal, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from jobs.approvals.actions import approve, decline
from jobs.approvals.actions_consumables import take_consumables
from jobs.approvals.actions_lapse import let_go
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.models import Approval
from jobs.approvals.proofs import APPROVAL_PROOFS
from jobs.approvals.queries_consumables import taken_before_decisions
from jobs.estimates.actions import set_estimate
from jobs.repairs.actions import assign_mechanic, open_repair, set_cause
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_desk import look_up_recalls
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of, whole
from tests.jobs.workshop import checked_in, eligible, money_in_bank, owner_says_yes, part

pytestmark = pytest.mark.django_db
RESERVE = 1_000_00
OIL = "penetrating oil and brake cleaner"


def breaks() -> list[str]:
    return [*commitment_breaks(), *(sentence for _, proof in APPROVAL_PROOFS for sentence in proof())]


def take(by: Person, repair: RepairOrder, cents: int, words: str = OIL) -> Approval:
    return take_consumables(by=by, repair=repair, amount=Money(cents), words=words)


@pytest.fixture
def repair(screener: Person, volunteer: Person, treasurer: Person) -> RepairOrder:
    """Checked in and given to its mechanic, who has no tie, in a fund with 1,000.00 free to commit."""
    money_in_bank(treasurer, RESERVE + 1_000_00)
    found = checked_in(volunteer, eligible(screener), mechanic=volunteer)
    answer_relation(by=volunteer, repair=found, tie=False)
    return found


def test_the_money_is_promised_at_once_and_every_figure_is_frozen(
    repair: RepairOrder, volunteer: Person
) -> None:
    row = take(volunteer, repair, 50_00)
    assert (row.kind, row.approver, row.amount, row.tolerance) == (
        "consumables",
        volunteer,
        Money(50_00),
        Money.zero,
    )
    assert (open_for("RO-0001"), position().free_to_commit) == (Money(50_00), Money(950_00))
    kept = row.snapshot
    assert (kept["consumables_limit"], kept["approved_before"], kept["cost"]) == (50_00, 0, 50_00)
    assert kept["position_before"]["free_to_commit"] == 1_000_00
    assert kept["position_after"]["free_to_commit"] == 950_00
    assert all(check["kept"] for check in kept["rules"])
    repair.refresh_from_db()
    assert repair.state == State.CHECKED_IN  # looking for the fault is no step of its own
    assert TrailLine.objects.filter(action="approval.consumables", subject="RO-0001").exists()
    assert breaks() == []


def test_at_the_limit_it_is_the_mechanics_and_a_cent_above_it_is_not(
    repair: RepairOrder, volunteer: Person
) -> None:
    with pytest.raises(TwoPeopleNeeded) as refused:
        take(volunteer, repair, 50_01)
    assert refused.value.sentence == (
        "$50.01 is above the $50.00 a mechanic may take alone for one repair. "
        "Price the repair and ask for a decision."
    )
    assert not Approval.objects.exists()
    assert take(volunteer, repair, 50_00).amount == Money(50_00)


def test_the_limit_is_for_the_repair_in_all_and_not_for_each_wish_or_receipt(
    repair: RepairOrder, volunteer: Person
) -> None:
    take(volunteer, repair, 30_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "30.00", home="fluid"))
    with pytest.raises(
        TwoPeopleNeeded, match=r"\$30.00 was taken before; with it \$50.01 is above the \$50.00"
    ):
        take(volunteer, repair, 20_01)
    take(volunteer, repair, 20_00)
    assert (allowance("RO-0001").promised, open_for("RO-0001")) == (Money(50_00), Money(20_00))
    assert breaks() == []


def test_a_fluid_is_bought_for_it_with_the_full_entry(repair: RepairOrder, volunteer: Person) -> None:
    take(volunteer, repair, 20_00)
    posted = post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "12.40", home="fluid"))
    assert whole(posted.entry_id) == [
        ("5010", "general", "RO-0001", "12.40"),
        ("2010", "general", "", "-12.40"),
    ]
    assert (open_for("RO-0001"), cost_of("RO-0001")) == (Money(7_60), Money(12_40))
    assert position().free_to_commit == Money(980_00)


def test_a_cent_more_than_was_taken_is_stopped_before_it_is_posted(
    repair: RepairOrder, volunteer: Person
) -> None:
    take(volunteer, repair, 20_00)
    with pytest.raises(NotEnoughMoney, match="20.00 was approved with a tolerance of 0.00"):
        post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.01", home="fluid"))


@pytest.mark.parametrize("home", ["part", "outside", "no_core", "mishap"])
def test_no_part_and_no_outside_work_is_bought_for_it(
    repair: RepairOrder, volunteer: Person, home: str
) -> None:
    take(volunteer, repair, 50_00)
    with pytest.raises(NotReady, match="Only fluids and small supplies may be bought for RO-0001"):
        post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "10.00", home=home))
    assert cost_of("RO-0001") == Money.zero


def test_what_is_not_free_is_not_taken_and_every_subtraction_is_told(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    set_rule(by=owner, name="reserve_floor", value="1970.00", valid_from=TODAY, reason="Winter")
    set_rule(by=owner, name="free_share_percent", value="0", valid_from=TODAY, reason="Off")
    with pytest.raises(NotEnoughMoney) as refused:
        take(volunteer, repair, 30_01)
    assert "30.00 is free to commit, 0.01 short" in refused.value.sentence
    assert "less reserve kept back by the owner 1,970.00" in refused.value.details
    assert take(volunteer, repair, 30_00).amount == Money(30_00)
    assert position().free_to_commit == Money.zero


def test_the_share_of_free_money_holds_on_the_lowest_rung_too(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    set_rule(by=owner, name="reserve_floor", value="1900.00", valid_from=TODAY, reason="Winter")
    with pytest.raises(TwoPeopleNeeded, match=r"\$25.01 is 26% of the \$100.00 .* up to 25% of it, \$25.00"):
        take(volunteer, repair, 25_01)
    assert take(volunteer, repair, 25_00).amount == Money(25_00)


def test_whoever_has_a_tie_or_has_not_answered_takes_nothing(
    screener: Person, volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, RESERVE + 1_000_00)
    found = checked_in(volunteer, eligible(screener), mechanic=volunteer2)
    with pytest.raises(NotReady, match="Jun Okafor has not said yet"):
        take(volunteer2, found, 10_00)
    answer_relation(by=volunteer2, repair=found, tie=True, words="my neighbor")
    with pytest.raises(TwoPeopleNeeded, match="Jun Okafor has a tie to the household"):
        take(volunteer2, found, 10_00)
    assert not Approval.objects.exists()


def test_only_the_mechanic_who_does_the_work_takes_it(
    repair: RepairOrder, volunteer2: Person, treasurer: Person
) -> None:
    answer_relation(by=volunteer2, repair=repair, tie=False)
    with pytest.raises(NotReady, match="Only the mechanic who does the work on RO-0001"):
        take(volunteer2, repair, 10_00)
    with pytest.raises(NotAllowed):
        take(treasurer, repair, 10_00)


def test_a_household_whose_eligibility_ran_out_is_screened_again_first(
    repair: RepairOrder, volunteer: Person
) -> None:
    with clock.at(TODAY + timedelta(days=91)), pytest.raises(NotReady, match="eligibility ran out on"):
        take(volunteer, repair, 10_00)
    with clock.at(TODAY + timedelta(days=90)):
        assert take(volunteer, repair, 10_00).amount == Money(10_00)


def test_before_the_check_in_is_signed_nobody_touches_it(
    screener: Person, volunteer: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, RESERVE + 1_000_00)
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="compact car"
    )
    found = open_repair(
        by=volunteer, application=application, vehicle=vehicle, complaint="Grinds", mechanic=volunteer
    )
    answer_relation(by=volunteer, repair=found, tie=False)
    with pytest.raises(NotReady, match="Finish the check-in of RO-0001 first"):
        take(volunteer, found, 10_00)


def test_a_fault_under_an_open_recall_costs_the_fund_nothing(repair: RepairOrder, volunteer: Person) -> None:
    look_up_recalls(by=volunteer, repair=repair, found="covers", where="the agency", words="Pump, no. 21-4")
    with pytest.raises(NotReady, match="An open recall covers the fault"):
        take(volunteer, repair, 10_00)


@pytest.mark.parametrize(("cents", "words", "says"), [(0, OIL, "how much"), (10_00, "  ", "what it is for")])
def test_it_needs_an_amount_and_words(
    repair: RepairOrder, volunteer: Person, cents: int, words: str, says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        take(volunteer, repair, cents, words)


def test_it_is_a_dated_rule_and_zero_lets_nobody_take_anything(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    first = take(volunteer, repair, 40_00)
    set_rule(by=owner, name="consumables_limit", value="", valid_from=TODAY, reason="Not in our fund")
    with pytest.raises(TwoPeopleNeeded, match="lets nobody take consumables before a decision"):
        take(volunteer, repair, 1)
    first.refresh_from_db()
    assert first.snapshot["consumables_limit"] == 50_00
    assert breaks() == []  # judged by the limit of its day


def estimated(repair: RepairOrder, by: Person, cents: int) -> RepairOrder:
    set_cause(by=by, repair=repair, cause="Front pads down to metal")
    return set_estimate(by=by, repair=repair, lines=part(cents, "pads"))


def test_the_approval_takes_it_in_and_nothing_is_promised_twice(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    take(volunteer, repair, 50_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.00", home="fluid"))
    estimated(repair, volunteer, 200_00)
    answer_relation(by=owner, repair=repair, tie=False)
    row = approve(by=owner, repair=repair)
    granted = allowance("RO-0001")
    assert (row.amount, row.taken_in, row.tolerance) == (Money(200_00), Money(20_00), Money(20_00))
    assert (granted.promised, granted.spent, granted.open) == (Money(200_00), Money(20_00), Money(180_00))
    assert granted.limit == Money(220_00)
    assert position().free_to_commit == Money(800_00)  # the estimate, once
    assert (row.snapshot["taken_before"], row.snapshot["share_of_free_percent"]) == (50_00, 20)
    assert breaks() == []
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "200.00", number="2"))
    with pytest.raises(NotEnoughMoney, match="would reach 220.01"):
        post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "0.01", number="3"))


def test_what_was_taken_makes_room_for_an_estimate_that_just_fits(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    set_rule(by=owner, name="free_share_percent", value="0", valid_from=TODAY, reason="Off")
    set_rule(by=owner, name="owner_limit", value="5000.00", valid_from=TODAY, reason="Test")
    take(volunteer, repair, 50_00)
    estimated(repair, volunteer, 1_000_01)
    answer_relation(by=owner, repair=repair, tie=False)
    with pytest.raises(NotEnoughMoney, match="0.01 short"):
        approve(by=owner, repair=repair)
    assert open_for("RO-0001") == Money(50_00)  # refused whole
    set_estimate(by=volunteer, repair=repair, lines=part(1_000_00, "pads"))
    approve(by=owner, repair=repair)
    assert (open_for("RO-0001"), position().free_to_commit) == (Money(1_000_00), Money.zero)


@pytest.mark.parametrize(("estimate", "promised_then"), [(15_00, 20_00), (20_00, 20_00), (20_01, 20_01)])
def test_an_estimate_at_or_below_what_is_spent_already_promises_no_more_than_that(
    repair: RepairOrder, volunteer: Person, owner: Person, estimate: int, promised_then: int
) -> None:
    take(volunteer, repair, 50_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.00", home="fluid"))
    estimated(repair, volunteer, estimate)
    answer_relation(by=owner, repair=repair, tie=False)
    row = approve(by=owner, repair=repair)
    granted = allowance("RO-0001")
    assert (granted.promised, granted.open) == (Money(promised_then), Money(promised_then - 20_00))
    assert row.amount == Money(estimate)
    assert breaks() == []


def test_the_approval_still_runs_out_although_consumables_were_bought_before_it(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    take(volunteer, repair, 20_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.00", home="fluid"))
    estimated(repair, volunteer, 200_00)
    answer_relation(by=owner, repair=repair, tie=False)
    row = approve(by=owner, repair=repair)
    granted = allowance("RO-0001")
    assert (granted.until, granted.begun) == (row.until, False)
    found = promised(cost_object="RO-0001")[0]
    assert (found.until, found.bought) == (row.until, TODAY)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "10.00", number="2"))
    assert allowance("RO-0001").begun


def test_whoever_took_consumables_never_approves_even_when_another_does_the_work(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, owner: Person
) -> None:
    assign_mechanic(by=volunteer, repair=repair, mechanic=owner)
    answer_relation(by=owner, repair=repair, tie=False)
    take(owner, repair, 10_00)
    assign_mechanic(by=volunteer, repair=repair, mechanic=volunteer2)
    answer_relation(by=volunteer2, repair=repair, tie=False)
    estimated(repair, volunteer, 200_00)
    with pytest.raises(TwoPeopleNeeded, match="Maren Holt took consumables, and who asks never approves"):
        approve(by=owner, repair=repair)


def test_who_took_consumables_may_go_on_doing_the_work(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    take(volunteer, repair, 10_00)
    estimated(repair, volunteer, 200_00)
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    owner_says_yes(volunteer, repair)
    assert assign_mechanic(by=owner, repair=repair, mechanic=volunteer).mechanic == volunteer


def test_after_the_decision_nobody_takes_consumables_alone(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    estimated(repair, volunteer, 200_00)
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    with pytest.raises(NotReady, match="RO-0001 is approved. .* ask for a supplement"):
        take(volunteer, repair, 10_00)


def test_a_no_lets_go_of_what_was_not_spent_and_a_new_price_begins_from_there(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    take(volunteer, repair, 50_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.00", home="fluid"))
    estimated(repair, volunteer, 200_00)
    decline(by=owner, repair=repair, reason="Worth more than the vehicle")
    assert (open_for("RO-0001"), position().free_to_commit) == (Money.zero, Money(980_00))
    assert taken_before_decisions() == []
    set_estimate(by=volunteer, repair=repair, lines=part(150_00, "pads"))
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    granted = allowance("RO-0001")
    assert (granted.promised, granted.open) == (Money(150_00), Money(130_00))
    assert breaks() == []


def test_a_paper_that_comes_in_after_the_no_is_ratified_by_someone_else_on_that_day(
    repair: RepairOrder, volunteer: Person, owner: Person
) -> None:
    take(volunteer, repair, 50_00)
    estimated(repair, volunteer, 200_00)
    decline(by=owner, repair=repair, reason="Not worth it")
    paper = draft_of(volunteer, repair, "12.00", home="fluid")
    with pytest.raises(Refusal, match="Nothing has been approved"):
        post_receipt(by=volunteer, receipt=paper)
    answer_relation(by=owner, repair=repair, tie=False)
    rows = ratify_receipt(by=owner, receipt=paper, reason="Bought before the no")
    assert [(row.amount, row.on) for row in rows] == [(Money(12_00), TODAY)]
    assert (cost_of("RO-0001"), open_for("RO-0001")) == (Money(12_00), Money.zero)
    assert breaks() == []


def test_stopping_the_repair_frees_the_rest(repair: RepairOrder, volunteer: Person) -> None:
    take(volunteer, repair, 50_00)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "20.00", home="fluid"))
    cancel(by=volunteer, repair=repair, reason="The owner sells it")
    assert (open_for("RO-0001"), position().free_to_commit) == (Money.zero, Money(980_00))
    assert breaks() == []


def test_an_owner_lets_go_of_what_lies_unused(repair: RepairOrder, volunteer: Person, owner: Person) -> None:
    take(volunteer, repair, 50_00)
    with pytest.raises(NotReady, match="was last used on"):
        let_go(by=owner, repair=repair, reason="Not needed")
    with clock.at(TODAY + timedelta(days=61)):
        assert promised(cost_object="RO-0001")[0].look == "Not used for 61 days"
        let_go(by=owner, repair=repair, reason="Not needed")
        repair.refresh_from_db()
        assert repair.state == State.CHECKED_IN
        assert open_for("RO-0001") == Money.zero
        assert taken_before_decisions() == []


def test_the_owner_sees_who_took_what_and_what_of_it_is_spent(repair: RepairOrder, volunteer: Person) -> None:
    take(volunteer, repair, 30_00)
    take(volunteer, repair, 5_00, "shop towels")
    post_receipt(by=volunteer, receipt=draft_of(volunteer, repair, "12.00", home="fluid"))
    found = taken_before_decisions()
    assert [(one.repair, one.promised, one.spent, one.people) for one in found] == [
        (repair, Money(35_00), Money(12_00), "Tavi Brandt")
    ]
    assert found[0].words == f"{OIL}; shop towels"


def test_a_proof_names_consumables_above_their_limit(repair: RepairOrder, volunteer: Person) -> None:
    row = take(volunteer, repair, 50_00)
    copy = {**row.snapshot, "approved_before": 10_00}
    Approval.objects.create(
        repair=repair, kind="consumables", approver=volunteer, on=TODAY, at=row.at, amount=Money(45_00),
        tolerance=Money.zero, snapshot=copy,
    )  # fmt: skip
    assert "RO-0001: 55.00 of consumables was taken before a decision; 50.00 was the most." in breaks()
