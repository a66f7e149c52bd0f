"""The eight elements of the tax authority's list, computed for every repair."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from fund.gifts.actions_supporters import add_supporter
from fund.money import Money
from fund.refusal import NotReady
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions import decide
from jobs.eligibility.actions_second import answer_exception, tie_then_answer, tie_then_ask
from jobs.eligibility.queries import eligible_applications
from jobs.eligibility.queries_file import ELEMENTS, aid_file, aid_files, missing_elements
from jobs.eligibility.queries_ties import ties_of, with_chain
from jobs.intake.actions_order import take_out_of_turn
from jobs.repairs.actions import assign_mechanic, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from tests.jobs.intake.people import ready_to_decide
from tests.jobs.workshop import checked_in, eligible, money_in_bank, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def repaired(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    start_work(by=volunteer, repair=repair)
    set_correction(by=volunteer, repair=repair, correction="Pads and rotors replaced, braked straight")
    repair.refresh_from_db()
    return repair


def test_the_list_is_that_of_the_tax_authority() -> None:
    # IRS, "Disaster relief: how charities must document relief activities" (same list in Publication 3833): eight items.
    assert len(ELEMENTS) == 8


def test_a_repair_done_by_the_rules_lacks_nothing(repaired: RepairOrder) -> None:
    assert missing_elements("RO-0001") == []
    found = aid_file(repaired)
    told = dict(found.elements)
    assert found.amount == Money(182_29)
    assert told["complete description of the help"] == (
        "Repair of a compact car: Grinds when braking Cause: Front pads down to metal, measured 1 mm "
        "Done: Pads and rotors replaced, braked straight"
    )
    assert told["cost of the help"] == "$182.29, without core deposits and donated hours"
    assert "needed for getting to work" in told["purpose for which it was given"]
    assert told["objective criteria"].startswith("Income at most 200% of the 2026 poverty guideline (HHS,")
    assert "found eligible on 2026-03-15: income is within the line" in told["how the household was selected"]
    assert told["name, address and amount"] == "Person of the tests, 1 Test Lane, Larkwater: $182.29"
    assert told["relationships to the crew and to large supporters"] == (
        "None named. Asked: Ines Moreau, Maren Holt, Tavi Brandt"
    )
    assert told["who decided"] == "Screened the household: Ines Moreau. Approved: Maren Holt"


def test_at_check_in_the_file_says_what_is_still_missing(screener: Person, volunteer: Person) -> None:
    checked_in(volunteer, eligible(screener))
    assert missing_elements("RO-0001") == [
        "complete description of the help",
        "cost of the help",
        "relationships to the crew and to large supporters",
        "who decided",
    ]
    assert missing_elements("RO-9999") == list(ELEMENTS.values())


def test_a_mechanic_who_was_not_asked_leaves_a_gap(
    repaired: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    assign_mechanic(by=volunteer, repair=repaired, mechanic=volunteer2)
    assert missing_elements("RO-0001") == ["relationships to the crew and to large supporters"]
    answer_relation(by=volunteer2, repair=repaired, tie=True, words="A neighbor")
    assert missing_elements("RO-0001") == []
    assert "Jun Okafor (does the work): A neighbor" in aid_file(repaired).relationships


def test_both_who_made_an_exception_stand_among_those_who_were_asked(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    application = ready_to_decide(treasurer)
    add_vehicle(by=screener, household=application.household, year=2012, vehicle_class="sedan")
    asked = tie_then_ask(
        by=screener, application=application, tie=False, rule="registration", reason="Papers burned"
    )
    with pytest.raises(NotReady, match="Both who make an exception are asked"):
        answer_exception(by=owner, exception=asked, agreed=True)
    tie_then_answer(by=owner, exception=asked, tie=False, agreed=True)
    decide(by=treasurer, application=application, verdict="eligible")
    order = checked_in(volunteer, application)
    parts = {
        (row.person, row.part): row.answer
        for row in ties_of(list(with_chain(RepairOrder.objects.all())))[order.number]
    }
    assert parts["Ines Moreau", "asked for an exception"] is False
    assert parts["Maren Holt", "agreed to an exception"] is False


def test_the_files_of_many_cost_no_more_queries_than_of_one(
    repaired: RepairOrder, screener: Person, volunteer: Person
) -> None:
    with CaptureQueriesContext(connection) as one:
        aid_files(RepairOrder.objects.all())
    for name in ("Second Person", "Third Person"):
        checked_in(volunteer, eligible(screener, name))
    with CaptureQueriesContext(connection) as three:
        assert len(aid_files(RepairOrder.objects.all())) == 3
    assert len(three) == len(one)


def test_a_household_taken_out_of_turn_is_told_so_and_not_as_taken_in_order(
    screener: Person, volunteer: Person
) -> None:
    first, second = eligible(screener, "First of two"), eligible(screener, "Second of two")
    waiting = list(eligible_applications())
    assert waiting[0] == first
    take_out_of_turn(by=screener, application=second, ready=waiting, reason="Dialysis three times a week.")
    told = aid_file(checked_in(volunteer, second)).selection
    assert told.startswith(
        "Asked on 2026-03-15 (by telephone); taken out of turn from place 2 on 2026-03-15 by Ines Moreau: "
        "Dialysis three times a week; found eligible on 2026-03-15"
    )
    assert "stated waiting order" not in told
    assert "taken in the stated waiting order" in aid_file(checked_in(volunteer, first)).selection


def test_a_household_that_gives_is_named_as_a_supporter_and_not_among_those_who_were_asked(
    repaired: RepairOrder, treasurer: Person
) -> None:
    add_supporter(by=treasurer, name="Person of the tests", email="p@example.org")
    told = aid_file(repaired).relationships
    assert told == (
        "S-0001 (the household gives to the fund): gave $0.00 in all. Asked: Ines Moreau, Maren Holt, Tavi Brandt"
    )
