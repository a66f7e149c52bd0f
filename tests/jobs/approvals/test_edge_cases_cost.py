"""What is and what is not the cost of a household's repair: played through the actions of their pages."""

from typing import Any

import pytest

from fund.access.models import Person
from fund.commitments.queries import allowance, open_for
from fund.ledger.queries import balance, cost_of
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_claims import settle_claim
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_insurance import claim_insurance
from fund.receipts.models import CoreDeposit, ReceiptPortion
from fund.receipts.proofs import breaks
from fund.refusal import BadInput, NotReady
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.actions_second import ask_exception, tie_then_answer
from jobs.eligibility.queries_rules import helped
from jobs.hours.queries import hours_of_repair
from jobs.intake.actions import answer_relation as answer_at_screening
from jobs.intake.actions import open_application
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.fund.receipts.makers import line, paper
from tests.jobs.approvals.booked import draft_of, whole
from tests.jobs.eligibility.test_hard_cases import asking
from tests.jobs.workshop import checked_in, money_in_bank, part, priced, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


def test_two_vehicles_of_one_household_are_two_repair_orders_and_the_rule_looks_at_the_household(
    approved: RepairOrder, screener: Person, volunteer: Person, treasurer: Person, owner: Person
) -> None:
    with pytest.raises(NotReady, match="RO-0001 is open for A-0001 already: a second vehicle"):
        checked_in(volunteer, approved.application)
    again = open_application(by=screener, asking=asking(), household=approved.household)
    sight(by=screener, household=approved.household, kind="pay stub", document_date=TODAY)
    answer_at_screening(by=screener, application=again, tie=False)
    with pytest.raises(NotReady, match="1 repair given or promised in the last 12 months"):
        decide(by=screener, application=again, verdict="eligible")
    asked = ask_exception(by=screener, application=again, rule="times", reason="Both drive to treatment")
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=True)
    decide(by=screener, application=again, verdict="eligible")
    second = priced(volunteer, again, part(200_00))
    answer_relation(by=owner, repair=second, tie=False)
    assert approve(by=owner, repair=second).amount == Money(200_00)
    assert (second.number, second.household) == ("RO-0002", approved.household)
    assert second.vehicle != approved.vehicle
    assert [open_for(row) for row in ("RO-0001", "RO-0002")] == [Money(400_00), Money(200_00)]


def test_an_alignment_added_by_a_paid_shop_is_outside_work_and_no_given_labor(
    approved: RepairOrder, volunteer: Person
) -> None:
    bill = draft_of(
        volunteer, approved, "95.00", home="outside", text="alignment", tender="supplier_bill",
        store="Millrace Tire",
    )  # fmt: skip
    posted = post_receipt(by=volunteer, receipt=bill)
    assert whole(posted.entry_id) == [
        ("5020", "general", "RO-0001", "95.00"),
        ("2000", "general", "", "-95.00"),
    ]
    assert (hours_of_repair(approved).tenths, balance("4030"), balance("5050")) == (0, Money.zero, Money.zero)
    assert open_for("RO-0001") == Money(305_00)


def test_a_housing_the_mechanic_cracked_is_the_crews_own_cost_and_not_in_the_households_cap(
    approved: RepairOrder, screener: Person, volunteer: Person
) -> None:
    post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "200.00"))
    housing = draft_of(volunteer, approved, "80.00", home="mishap", text="housing", number="2")
    posted = post_receipt(by=volunteer, receipt=housing)
    assert whole(posted.entry_id) == [
        ("5060", "general", "RO-0001", "80.00"),
        ("2010", "general", "", "-80.00"),
    ]
    entry = posted.entry
    assert entry is not None
    assert entry.lines.get(account="5060").text == "Crew error: housing"
    assert cost_of("RO-0001") == Money(280_00)
    # 200.00 spent on help and the 120.00 still promised; the 80.00 is the crew's own.
    assert [row.cost for row in helped(approved.household)] == [Money(320_00)]


def test_an_insurer_may_pay_for_what_the_crew_broke(approved: RepairOrder, volunteer: Person) -> None:
    housing = post_receipt(
        by=volunteer, receipt=draft_of(volunteer, approved, "80.00", home="mishap", text="housing")
    )
    portion = ReceiptPortion.objects.get(line__receipt=housing)
    claim = claim_insurance(
        by=volunteer,
        portion=portion,
        amount=Money(50_00),
        insurer="Larkwater Mutual",
        on=TODAY,
        reason="Slipped",
    )
    assert whole(claim.entry) == [
        ("1120", "general", "RO-0001", "50.00"),
        ("5060", "general", "RO-0001", "-50.00"),
    ]
    assert (cost_of("RO-0001"), allowance("RO-0001").spent) == (Money(30_00), Money(30_00))


def test_an_accident_in_the_shop_is_a_loss_of_the_fund_that_the_insurer_makes_smaller(
    approved: RepairOrder, volunteer: Person, treasurer: Person
) -> None:
    damage = line("door of the owner's car, dented by the lift", "640.00", "admin", taxable=False)
    data = paper(volunteer, "640.00", "0.00", damage, number="body shop", tender="bank_transfer", on=TODAY)
    paid = post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    assert whole(paid.entry_id) == [("5500", "general", "", "640.00"), ("1000", "general", "", "-640.00")]
    assert cost_of("RO-0001") == Money.zero
    portion = ReceiptPortion.objects.get(line__receipt=paid)
    agreed: dict[str, Any] = {
        "portion": portion,
        "insurer": "Larkwater Mutual",
        "on": TODAY,
        "reason": "Lift arm slipped",
    }
    with pytest.raises(BadInput, match="at most what the loss still is, 640.00"):
        claim_insurance(by=treasurer, amount=Money(640_01), **agreed)
    claim = claim_insurance(by=treasurer, amount=Money(540_00), **agreed)  # 100.00 is borne by the fund
    assert whole(claim.entry) == [("1120", "general", "", "540.00"), ("5500", "general", "", "-540.00")]
    came = settle_claim(by=treasurer, claim=claim, kind="bank", amount=Money(500_00), on=TODAY)
    assert whole(came.entry) == [("1000", "general", "", "500.00"), ("1120", "general", "", "-500.00")]
    refused = settle_claim(by=treasurer, claim=claim, kind="refused", amount=Money(40_00), on=TODAY)
    assert whole(refused.entry) == [("5500", "general", "", "40.00"), ("1120", "general", "", "-40.00")]
    assert (balance("5500"), balance("1120")) == (Money(140_00), Money.zero)
    assert breaks() == []


def test_only_a_loss_or_an_error_is_for_an_insurer(approved: RepairOrder, volunteer: Person) -> None:
    plain = post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "200.00"))
    portion = ReceiptPortion.objects.get(line__receipt=plain)
    with pytest.raises(BadInput, match="as an error of the crew"):
        claim_insurance(
            by=volunteer,
            portion=portion,
            amount=Money(10_00),
            insurer="Larkwater Mutual",
            on=TODAY,
            reason="x",
        )


def test_tax_a_store_keeps_on_a_core_is_booked_even_when_all_that_was_approved_is_spent(
    approved: RepairOrder, volunteer: Person
) -> None:
    post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "440.00"))
    core = line("old alternator", "55.00", ("core", approved.number))
    data = paper(volunteer, "59.54", "4.54", core, number="core", on=TODAY)
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    ended = return_core(
        by=volunteer, core=CoreDeposit.objects.get(), amount_back=Money(55_00), on=TODAY, kind="full",
        tax_kept=Money(4_54),
    )  # fmt: skip
    assert whole(ended.entry) == [
        ("1000", "general", "", "55.00"),
        ("5000", "general", "RO-0001", "4.54"),
        ("1110", "general", "RO-0001", "-59.54"),
    ]
    now = allowance("RO-0001")
    assert (cost_of("RO-0001"), now.spent, now.room) == (Money(444_54), Money(444_54), Money(-4_54))
    assert breaks() == []
