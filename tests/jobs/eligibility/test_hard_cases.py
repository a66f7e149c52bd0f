"""Cases that screeners meet, each played through the actions that the pages use."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.gifts.actions_supporters import add_supporter
from fund.ledger.models import Entry
from fund.ledger.queries import balance
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import agree, approve
from jobs.approvals.actions_relations import answer_relation as answer_for_repair
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.actions_second import ask_cost_exception, ask_exception, tie_then_answer
from jobs.eligibility.actions_tables import load_guidelines
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries import standing_decision
from jobs.eligibility.queries_rules import rules_applied
from jobs.eligibility.queries_ties import related_parties, supporter_tie
from jobs.estimates.actions import set_estimate
from jobs.households.actions import change_contact, replace_incomes
from jobs.households.rules import IncomeFacts
from jobs.intake.actions import answer_relation, mark_helped, open_application
from jobs.intake.models import Application
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.rules import Standing
from tests.jobs.intake.people import PAY, asking, eligible, ready_to_decide
from tests.jobs.workshop import money_in_bank, part, priced, ready

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)


def answered(**changes: str) -> dict[str, str]:
    questions = ("lives here", "own vehicle", "license", "insured", "own use", "still to do")
    return dict.fromkeys(questions, "yes") | changes


def test_a_cousin_neither_screens_nor_approves_nor_buys_but_may_work_and_is_listed(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, mechanic=volunteer2)
    answer_for_repair(by=volunteer2, repair=repair, tie=True, words="The applicant is my cousin")
    approve(by=owner, repair=repair)
    bought = LineInput(
        text="pads", amount=Money(50_00), portions=(PortionInput(home="part", cost_object=repair.number),)
    )
    paper = ReceiptInput(
        store="Gantry Parts",
        number="1",
        on=DAY,
        total=Money(50_00),
        tax=Money.zero,
        tender="own_money",
        buyer=volunteer2,
        lines=(bought,),
    )
    receipt = save_draft(by=volunteer, data=paper)
    with pytest.raises(TwoPeopleNeeded, match="Jun Okafor has a tie to the household of RO-0001"):
        post_receipt(by=volunteer, receipt=receipt)
    answer_for_repair(by=volunteer, repair=repair, tie=False)
    receipt = save_draft(by=volunteer, data=replace(paper, buyer=volunteer, number="2"))
    post_receipt(by=volunteer, receipt=receipt)
    rows = related_parties()
    assert [(row.number, row.alias, row.person, row.part, row.words) for row in rows] == [
        ("RO-0001", "Alder", "Jun Okafor", "does the work", "The applicant is my cousin")
    ]
    assert rows[0].amount == Money(50_00)


def test_a_buyer_who_was_not_asked_is_asked_first(
    screener: Person, volunteer: Person, volunteer2: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    bought = LineInput(
        text="pads", amount=Money(50_00), portions=(PortionInput(home="part", cost_object=repair.number),)
    )
    paper = ReceiptInput(
        store="Gantry Parts",
        number="1",
        on=DAY,
        total=Money(50_00),
        tax=Money.zero,
        tender="own_money",
        buyer=volunteer2,
        lines=(bought,),
    )
    receipt = save_draft(by=volunteer2, data=paper)
    with pytest.raises(NotReady, match="Jun Okafor has not said yet"):
        post_receipt(by=volunteer2, receipt=receipt)
    answer_for_repair(by=volunteer2, repair=repair, tie=False)
    assert post_receipt(by=volunteer2, receipt=receipt).state == "posted"


def test_the_owners_relative_is_decided_on_by_someone_without_a_tie(
    owner: Person, screener: Person, volunteer: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    application = ready_to_decide(screener)
    answer_relation(by=owner, application=application, tie=True, words="My brother's household")
    with pytest.raises(TwoPeopleNeeded, match="Someone without a tie does this"):
        decide(by=owner, application=application, verdict="eligible")
    decide(by=screener, application=application, verdict="eligible")
    application.refresh_from_db()
    repair = priced(volunteer, application)
    with pytest.raises(TwoPeopleNeeded, match="Maren Holt has a tie"):
        approve(by=owner, repair=repair)
    answer_for_repair(by=treasurer, repair=repair, tie=False)
    assert approve(by=treasurer, repair=repair).approver == treasurer
    assert [(row.person, row.part) for row in related_parties()] == [("Maren Holt", "stood aside")]


def test_a_household_that_moves_before_the_decision_is_tested_where_it_lives(screener: Person) -> None:
    # HHS 2026, size 3 at 200%: 54,640 in the 48 states, 68,300 in Alaska (34,150 x 2).
    income = IncomeFacts(kind="pay", period="yearly", amount=Money(60_000_00))
    application = ready_to_decide(screener, [income])
    with pytest.raises(NotReady, match="do not allow eligible"):
        decide(by=screener, application=application, verdict="eligible")
    change_contact(
        by=screener, household=application.household, area="alaska", address="4 Birch Way, Elsewhere"
    )
    application.refresh_from_db()
    decision = decide(by=screener, application=application, verdict="eligible")
    assert decision.snapshot["area"] == "alaska"
    assert decision.snapshot["address"] == "4 Birch Way, Elsewhere"
    change_contact(by=screener, household=application.household, address="5 Other Street")
    decision.refresh_from_db()
    assert decision.snapshot["address"] == "4 Birch Way, Elsewhere"


def test_income_that_rises_after_the_decision_changes_nothing_while_it_is_in_date(screener: Person) -> None:
    application = eligible(screener).application
    raised = IncomeFacts(kind="pay", period="yearly", amount=Money(90_000_00))
    replace_incomes(by=screener, household=application.household, incomes=[raised])
    assert standing_decision(application, DAY + timedelta(days=90)) is not None
    assert standing_decision(application, DAY + timedelta(days=91)) is None
    with clock.at(DAY + timedelta(days=91)):
        sight(
            by=screener,
            household=application.household,
            kind="pay stub",
            document_date=DAY + timedelta(days=80),
        )
        answer_relation(by=screener, application=application, tie=False)
        with pytest.raises(NotReady, match="do not allow eligible"):
            decide(by=screener, application=application, verdict="eligible")


def test_the_definition_of_a_household_is_kept_with_the_decision(screener: Person, owner: Person) -> None:
    first = eligible(screener)
    assert first.snapshot["household_definition"] == "everyone at the address"
    with clock.at(DAY + timedelta(days=1)):
        set_rule(
            by=owner,
            name="household_definition",
            value="people who share money",
            valid_from=DAY + timedelta(days=1),
            reason="Roommates are not one household",
        )
        answer_relation(by=screener, application=first.application, tie=False)
        second = decide(by=screener, application=first.application, verdict="eligible")
    assert second.snapshot["household_definition"] == "people who share money"
    first.refresh_from_db()
    assert first.snapshot["household_definition"] == "everyone at the address"


def test_zero_income_is_neither_a_yes_nor_a_no_before_the_signed_story(screener: Person) -> None:
    application = ready_to_decide(screener, incomes=[])
    household = application.household
    with pytest.raises(NotReady, match="how rent, food and phone are paid"):
        decide(by=screener, application=application, verdict="eligible")
    replace_incomes(by=screener, household=household, incomes=[], no_income_words="An aunt pays the rent.")
    application.refresh_from_db()
    with pytest.raises(NotReady, match="before a witness"):
        decide(by=screener, application=application, verdict="eligible")
    waiting = decide(
        by=screener, application=application, verdict="more papers needed", words="The signed statement"
    )
    assert waiting.reasons == ["papers missing"]
    sight(by=screener, household=household, kind="signed statement", document_date=DAY)
    answer_relation(by=screener, application=application, tie=False)
    assert decide(by=screener, application=application, verdict="eligible").reasons == ["income within"]


def test_a_title_in_an_ex_partners_name_lets_nothing_be_bought(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    repair.vehicle.title = "other"
    repair.vehicle.save()
    with pytest.raises(NotReady, match="Nothing is bought before that person's signed authority"):
        approve(by=owner, repair=repair)
    assert not Entry.objects.filter(kind="receipt").exists()
    sight(by=screener, household=repair.household, kind="owner authority", document_date=DAY)
    assert approve(by=owner, repair=repair).amount == Money(182_29)


def test_registered_three_weeks_ago_takes_an_exception_with_a_reason(
    screener: Person, treasurer: Person
) -> None:
    application = ready_to_decide(screener)
    add_vehicle(
        by=screener,
        household=application.household,
        year=2009,
        vehicle_class="sedan",
        standing=Standing(registered_on=DAY - timedelta(days=21)),
    )
    with pytest.raises(NotReady, match="asks for 6 months.*ask for an exception"):
        decide(by=screener, application=application, verdict="eligible")
    asked = ask_exception(
        by=screener, application=application, rule="registration", reason="A gift from her church"
    )
    with pytest.raises(TwoPeopleNeeded, match="two different people"):
        tie_then_answer(by=screener, exception=asked, tie=False, agreed=True)
    with pytest.raises(NotReady):
        decide(by=screener, application=application, verdict="eligible")
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=True)
    decision = decide(by=screener, application=application, verdict="eligible")
    kept = next(row for row in decision.snapshot["rules"] if row["rule"] == "registration")
    assert (kept["outcome"], kept["reason"]) == ("exception", "A gift from her church")
    assert kept["people"] == ["Ines Moreau", "Odell Price"]
    assert decision.snapshot["committee"] == ["Ines Moreau", "Odell Price"]


def test_no_license_and_no_insurance_is_a_yes_on_conditions(screener: Person, owner: Person) -> None:
    application = open_application(
        by=screener, asking=asking(answers=answered(license="no", insured="no")), members=[]
    )
    replace_incomes(by=screener, household=application.household, incomes=[PAY])
    sight(by=screener, household=application.household, kind="pay stub", document_date=DAY)
    answer_relation(by=screener, application=application, tie=False)
    with pytest.raises(NotReady) as refused:
        decide(by=screener, application=application, verdict="eligible")
    assert len(refused.value.details) == 1
    for name in ("license", "insurance"):
        asked = ask_exception(
            by=screener, application=application, rule=name, reason="The repair is the blocker"
        )
        tie_then_answer(by=owner, exception=asked, tie=False, agreed=True)
    decision = decide(by=screener, application=application, verdict="eligible")
    assert decision.snapshot["conditions"] == [
        "No one of the household drives it off: it is handed back to a licensed driver, or on a trailer.",
        "No test on public roads, and handed back on a trailer or once insurance is shown.",
    ]


def test_a_repair_of_1400_on_a_vehicle_worth_1200_is_declined_or_takes_an_exception(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner, lines=part(1_400_00))
    repair.vehicle.value, repair.vehicle.value_source = Money(1_200_00), "a guide of May"
    repair.vehicle.save()
    answer_for_repair(by=treasurer, repair=repair, tie=False)
    for yes in (lambda: agree(by=treasurer, repair=repair), lambda: approve(by=owner, repair=repair)):
        with pytest.raises(
            (NotReady, TwoPeopleNeeded), match="costs \\$1,400.00, the vehicle is worth \\$1,200.00"
        ):
            yes()
    before = balance("1000")
    asked = ask_cost_exception(
        by=screener,
        application=repair.application,
        rule="value",
        reason="No bus, no other vehicle",
        up_to=Money(1_400_00),
    )
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=True)
    agree(by=treasurer, repair=repair)
    approval = approve(by=owner, repair=repair)
    assert any("Exception: No bus" in row["words"] for row in approval.snapshot["rules"])
    assert balance("1000") == before


def test_an_exception_about_cost_holds_up_to_its_cost_and_more_is_asked_for_anew(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 9_000_00)
    repair = ready(screener, volunteer, owner, lines=part(1_400_00))
    repair.vehicle.value, repair.vehicle.value_source = Money(1_200_00), "a guide of May"
    repair.vehicle.save()
    given = ask_exception(by=screener, application=repair.application, rule="value", reason="No bus")
    assert given.up_to == Money(1_400_00)
    tie_then_answer(by=treasurer, exception=given, tie=False, agreed=True)
    found = {
        cost: rules_applied(repair.application, cost=Money(cost), repair=repair)
        for cost in (1_400_00, 1_400_01)
    }
    outcomes = {
        cost: next(row.outcome for row in rows if row.rule == "value") for cost, rows in found.items()
    }
    assert outcomes == {1_400_00: "exception", 1_400_01: "fail"}
    set_estimate(by=volunteer, repair=repair, lines=part(1_450_00))
    with pytest.raises((NotReady, TwoPeopleNeeded), match="costs \\$1,450.00, the vehicle is worth"):
        approve(by=owner, repair=repair)
    again = ask_exception(by=screener, application=repair.application, rule="value", reason="The rotors too")
    assert again.up_to == Money(1_450_00)


def test_a_registration_left_empty_is_no_way_round_the_rule(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    application = ready_to_decide(screener)
    add_vehicle(by=screener, household=application.household, year=2012, vehicle_class="sedan")
    with pytest.raises(NotReady, match="Not known yet: since when the vehicle is registered"):
        decide(by=screener, application=application, verdict="eligible")
    given = ask_exception(
        by=screener, application=application, rule="registration", reason="Papers burned with the house"
    )
    tie_then_answer(by=treasurer, exception=given, tie=False, agreed=True)
    decision = decide(by=screener, application=application, verdict="eligible")
    kept = next(row for row in decision.snapshot["rules"] if row["rule"] == "registration")
    assert (kept["outcome"], kept["reason"]) == ("exception", "Papers burned with the house")


@pytest.mark.parametrize(("rule", "name"), [("registration", "registered_on"), ("value", "value")])
def test_money_is_promised_only_once_the_vehicles_worth_and_registration_are_known(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, rule: str, name: str
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner)
    setattr(repair.vehicle, name, None)
    repair.vehicle.save()
    with pytest.raises(NotReady, match="Not known yet"):
        approve(by=owner, repair=repair)
    given = ask_exception(
        by=screener, application=repair.application, rule=rule, reason="No guide lists it; papers burned"
    )
    tie_then_answer(by=treasurer, exception=given, tie=False, agreed=True)
    assert approve(by=owner, repair=repair).kind == "approval"


def test_back_after_four_months_with_another_fault_takes_an_exception(
    screener: Person, volunteer: Person, treasurer: Person
) -> None:
    with clock.at(date(2025, 11, 15)):
        first = eligible(screener).application
        mark_helped(by=volunteer, application=first)
    again = open_application(by=screener, asking=asking(complaint="Stalls"), household=first.household)
    sight(by=screener, household=first.household, kind="pay stub", document_date=DAY)
    answer_relation(by=screener, application=again, tie=False)
    with pytest.raises(
        NotReady, match="1 repair given or promised in the last 12 months, the last on 2025-11-15"
    ):
        decide(by=screener, application=again, verdict="eligible")
    asked = ask_exception(by=screener, application=again, rule="times", reason="The brakes fail: safety")
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=True)
    assert decide(by=screener, application=again, verdict="eligible").verdict == "eligible"


def test_a_refused_exception_leaves_the_rule_standing(screener: Person, treasurer: Person) -> None:
    application = ready_to_decide(screener)
    add_vehicle(
        by=screener,
        household=application.household,
        year=2009,
        vehicle_class="sedan",
        standing=Standing(registered_on=DAY),
    )
    asked = ask_exception(by=screener, application=application, rule="registration", reason="Please")
    with pytest.raises(BadInput, match="Write why not"):
        tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=False)
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=False, words="Bought to be sold on")
    with pytest.raises(NotReady, match="asks for 6 months"):
        decide(by=screener, application=application, verdict="eligible")


def test_false_papers_found_later_reverse_nothing_and_stop_further_help(
    screener: Person, volunteer: Person
) -> None:
    first = eligible(screener)
    mark_helped(by=volunteer, application=first.application)
    entries = Entry.objects.count()
    again = open_application(
        by=screener, asking=asking(complaint="Again"), household=first.application.household
    )
    answer_relation(by=screener, application=again, tie=False)
    refused = decide(
        by=screener,
        application=again,
        verdict="not eligible",
        reasons=["false papers"],
        words="The stubs of the first request were not real.",
    )
    assert refused.reasons == ["false papers"]
    assert Entry.objects.count() == entries
    first.refresh_from_db()
    assert first.verdict == "eligible"
    assert Application.objects.get(pk=first.application_id).state == "helped"


def test_a_household_that_gives_to_the_fund_is_helped_under_the_same_rules_and_shown(
    screener: Person, treasurer: Person
) -> None:
    add_supporter(by=treasurer, name="Wilhelmina Quarrender", email="w@example.org")
    application = eligible(screener).application
    tie = supporter_tie(application.household)
    assert tie is not None
    assert (tie.person, tie.part) == ("S-0001", "the household gives to the fund")


def test_a_table_of_a_later_day_leaves_old_decisions_alone(
    screener: Person, owner: Person, tmp_path: object
) -> None:
    first = eligible(screener)
    file = tmp_path / "tables.csv"  # type: ignore[operator]
    file.write_text(
        "year,area,size_1,size_2,size_3,size_4,size_5,size_6,size_7,size_8,each_more,in_use_from,source\n"
        "2026,contiguous,10000,11000,12000,13000,14000,15000,16000,17000,1000,2026-03-16,Restated by the office\n"
    )
    load_guidelines(by=owner, csv_file=file)
    with clock.at(date(2026, 3, 16)):
        answer_relation(by=screener, application=first.application, tie=False)
        second = decide(by=screener, application=first.application, verdict="eligible")
    first.refresh_from_db()
    assert first.snapshot["guideline"] == 27_320_00
    assert (second.snapshot["guideline"], second.snapshot["table_source"]) == (
        12_000_00,
        "Restated by the office",
    )
    assert EligibilityDecision.objects.count() == 2


def test_another_line_than_the_guideline_counts_where_the_fund_says_so(
    screener: Person, owner: Person, tmp_path: object
) -> None:
    file = tmp_path / "ami.csv"  # type: ignore[operator]
    file.write_text(
        "year,line,area,size_1,size_2,size_3,size_4,size_5,size_6,size_7,size_8,each_more,in_use_from,source\n"
        "2026,area median income,Larkwater County,50000,57000,64000,71000,77000,83000,89000,94000,5700,2026-03-01,Printed"
        " table of the county\n"
    )
    assert load_guidelines(by=owner, csv_file=file) == 1
    for name, value in (("income_line", "area median income"), ("guideline_percent", "80")):
        set_rule(by=owner, name=name, value=value, valid_from=DAY, reason="As our grant asks")
    application = ready_to_decide(
        screener, [IncomeFacts(kind="pay", period="yearly", amount=Money(51_200_00))]
    )
    with pytest.raises(NotReady, match="No income table “area median income”"):
        decide(by=screener, application=application, verdict="eligible")
    change_contact(by=screener, household=application.household, district="Larkwater County")
    application.refresh_from_db()
    decision = decide(by=screener, application=application, verdict="eligible")
    assert decision.snapshot["limit"] == str(64_000_00 * 80 // 100)
    assert "2026 area median income, Larkwater County, size 3: 64,000.00" in decision.worksheet
