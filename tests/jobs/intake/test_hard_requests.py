"""Cases that come in with a request, each told by the public form or by the page of a call, and played to its end."""

from datetime import date, timedelta

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Entry
from fund.refusal import BadInput, NotReady
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation as answer_on_repair
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.actions_second import ask_exception, tie_then_answer
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries import eligible_applications, standing_decision
from jobs.households.actions import change_contact
from jobs.households.queries_consent import consents_on
from jobs.households.rules import MemberFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.models import Application
from jobs.intake.queries import waiting_list
from jobs.repairs.actions import open_repair
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from tests.jobs.intake.people import asking
from tests.jobs.intake.public import TYPED, draft_of, draft_with, rows, sent_by_form
from tests.jobs.workshop import eligible, money_in_bank, priced

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)


def asked(secret: str) -> Application:
    application = draft_of(secret).application
    assert application is not None
    return application


def sighted(screener: Person, application: Application) -> Application:
    """Papers on income sighted and the relation question answered: ready to decide."""
    sight(by=screener, household=application.household, kind="pay stub", document_date=DAY)
    answer_relation(by=screener, application=application, tie=False)
    return application


def checked_in(volunteer: Person, application: Application) -> RepairOrder:
    vehicle = application.household.vehicles.latest("pk")
    return open_repair(
        by=volunteer, application=application, vehicle=vehicle, complaint="Grinds", mechanic=None
    )


def test_a_household_that_moves_away_before_approval_is_tested_where_it_lives_now(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    application = eligible(screener)
    repair = priced(volunteer, application)
    answer_on_repair(by=owner, repair=repair, tie=False)
    household = application.household
    change_contact(by=screener, household=household, area="alaska", address="4 Spruce Road, Nome")
    entries = Entry.objects.count()
    with pytest.raises(NotReady, match="lives elsewhere than at the decision"):
        approve(by=owner, repair=repair)
    assert (Entry.objects.count(), Application.objects.get(pk=application.pk).state) == (entries, "waiting")
    assert standing_decision(application) is None
    answer_relation(by=screener, application=application, tie=False)
    again = decide(by=screener, application=application, verdict="eligible")
    first = EligibilityDecision.objects.earliest("pk")
    assert (first.snapshot["area"], first.snapshot["address"]) == ("contiguous", "1 Test Lane, Larkwater")
    assert (again.snapshot["area"], again.snapshot["address"]) == ("alaska", "4 Spruce Road, Nome")
    assert again.snapshot["guideline"] > first.snapshot["guideline"]
    approve(by=owner, repair=RepairOrder.objects.get(pk=repair.pk))


def test_a_household_that_moved_is_not_called_in_before_a_new_decision(
    screener: Person, volunteer: Person
) -> None:
    application = eligible(screener)
    assert application in eligible_applications()
    change_contact(by=screener, household=application.household, area="hawaii")
    assert application not in eligible_applications()
    assert application in waiting_list()


def test_a_household_that_moves_after_approval_is_helped_to_the_end(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    application = eligible(screener)
    repair = priced(volunteer, application)
    answer_on_repair(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    change_contact(by=screener, household=application.household, area="alaska")
    assert Application.objects.get(pk=application.pk).state == "eligible"
    assert start_work(by=volunteer, repair=RepairOrder.objects.get(pk=repair.pk)).state == "in the bay"


@pytest.mark.parametrize(
    ("definition", "told"),
    [
        ("everyone at the address", "roommates too"),
        ("people who share money", "A roommate who pays for their own food does not."),
    ],
)
def test_a_roommate_counts_or_not_by_the_definition_that_was_told_and_is_kept(
    screener: Person, owner: Person, definition: str, told: str
) -> None:
    set_rule(by=owner, name="household_definition", value=definition, valid_from=DAY, reason="Written down")
    others = [{"name": "Roommate", "relation": "not kin"}] if "address" in definition else []
    application = asked(sent_by_form(home=rows("people", *others)))
    assert application.household_definition == definition
    _, unsent = draft_with({key: TYPED[key] for key in ("questions", "you")})
    assert told in Client().get(f"/ask-for-help/mine/{unsent}/page/home/").content.decode()
    decision = decide(by=screener, application=sighted(screener, application), verdict="eligible")
    assert decision.snapshot["size"] == len(others) + 1
    assert decision.snapshot["household_definition"] == definition


def test_a_title_in_an_ex_partner_s_name_may_be_asked_for_and_waits_for_that_person_s_signature(
    screener: Person,
) -> None:
    application = sighted(screener, asked(sent_by_form(questions={"ask_own_vehicle": "no"})))
    with pytest.raises(NotReady, match="Nothing is bought before that person's signed authority"):
        decide(by=screener, application=application, verdict="eligible")
    sight(by=screener, household=application.household, kind="owner authority", document_date=DAY)
    assert decide(by=screener, application=application, verdict="eligible").verdict == "eligible"


def test_bought_broken_three_weeks_ago_is_seen_from_what_was_told_and_needs_a_second_person(
    screener: Person, owner: Person
) -> None:
    lately = (DAY - timedelta(days=21)).isoformat()
    application = sighted(screener, asked(sent_by_form(vehicle={"registered_on": lately})))
    with pytest.raises(
        NotReady, match="registered to the household since 2026-02-22; the fund asks for 6 months"
    ):
        decide(by=screener, application=application, verdict="eligible")
    asked_for = ask_exception(
        by=screener, application=application, rule="registration", reason="Given by her late father."
    )
    tie_then_answer(by=owner, exception=asked_for, tie=False, agreed=True)
    frozen = decide(by=screener, application=application, verdict="eligible").snapshot
    assert [row["outcome"] for row in frozen["rules"] if row["rule"] == "registration"] == ["exception"]


def test_a_suspended_license_and_no_insurance_are_a_yes_on_conditions(
    screener: Person, owner: Person
) -> None:
    secret = sent_by_form(questions={"ask_license": "no", "ask_insured": "no"})
    application = sighted(screener, asked(secret))
    for rule in ("license", "insurance"):
        with pytest.raises(NotReady):
            decide(by=screener, application=application, verdict="eligible")
        given = ask_exception(
            by=screener, application=application, rule=rule, reason="The repair unblocks it."
        )
        tie_then_answer(by=owner, exception=given, tie=False, agreed=True)
    frozen = decide(by=screener, application=application, verdict="eligible").snapshot
    assert frozen["conditions"] == [
        "No one of the household drives it off: it is handed back to a licensed driver, or on a trailer.",
        "No test on public roads, and handed back on a trailer or once insurance is shown.",
    ]


def test_back_after_four_months_with_another_fault_is_a_new_request_and_takes_an_exception_for_safety(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    with clock.at(date(2025, 11, 10)):
        first = eligible(screener)
        order = priced(volunteer, first)
    RepairOrder.objects.filter(pk=order.pk).update(state="handed back", handed_back_on=date(2025, 11, 14))
    told = asking(complaint="The brake pedal sinks.", drivable="unsafe", answers=first.answers)
    again = open_application(by=screener, asking=told, household=first.household)
    sighted(screener, again)
    with pytest.raises(
        NotReady, match="1 repair given or promised in the last 12 months, the last on 2025-11-14"
    ):
        decide(by=screener, application=again, verdict="eligible")
    given = ask_exception(by=screener, application=again, rule="times", reason="Not safe: brakes.")
    tie_then_answer(by=owner, exception=given, tie=False, agreed=True)
    assert decide(by=screener, application=again, verdict="eligible").verdict == "eligible"
    assert again.code != first.code
    assert first.household.applications.count() == 2


def test_a_minor_s_parent_asks_and_the_child_is_in_no_photo_without_both_yeses(screener: Person) -> None:
    young = asking(name="Young Owner", birth_date=date(2009, 5, 1))
    with pytest.raises(BadInput, match="A parent or guardian asks and signs"):
        open_application(by=screener, asking=young)
    people = [
        MemberFacts(name="", relation="applicant", adult=True),
        MemberFacts(name="Young Owner", relation="child", birth_date=date(2009, 5, 1)),
    ]
    consents = {"data": True, "work": True, "photos": True}
    parent = asking(name="A Parent", birth_date=date(1980, 5, 1), consents=consents)
    application = open_application(by=screener, asking=parent, members=people)
    assert consents_on(application)["photos"] is True
    assert consents_on(application)["children"] is False
    with pytest.raises(BadInput, match="only where photos are agreed to"):
        open_application(
            by=screener, asking=asking(consents={"data": True, "children": True}, complaint="Other")
        )


def test_someone_on_their_eighteenth_birthday_asks_alone(screener: Person) -> None:
    told = asking(birth_date=date(2008, 3, 15))
    assert open_application(by=screener, asking=told).household.members.get().birth_year == 2008
    with pytest.raises(BadInput, match="under 18"):
        open_application(by=screener, asking=asking(birth_date=date(2008, 3, 16)))


def test_a_yes_to_the_story_taken_back_after_it_went_out_is_dated_and_leaves_the_books_alone(
    screener: Person,
) -> None:
    secret = sent_by_form(yes={"yes_story": "on", "yes_photos": "on"})
    entries = Entry.objects.count()
    with clock.at(date(2026, 6, 1)):
        page = f"/ask-for-help/mine/{secret}/agreed/"
        told = Client().get(page).content.decode()
        assert "We cannot call back copies that others made." in told
        Client().post(page, {"key": "story", "given": "no"})
        change = asked(secret).consent_changes.get()
        assert (change.key, change.given, change.on, change.by) == ("story", False, date(2026, 6, 1), None)
        assert consents_on(asked(secret))["story"] is False
    assert consents_on(asked(secret), date(2026, 5, 31))["story"] is True
    assert Entry.objects.count() == entries


def test_the_yes_to_photos_of_children_ends_with_the_yes_to_photos() -> None:
    secret = sent_by_form(yes={"yes_photos": "on", "yes_children": "on"})
    assert consents_on(asked(secret))["children"] is True
    Client().post(f"/ask-for-help/mine/{secret}/agreed/", {"key": "photos", "given": "no"})
    assert consents_on(asked(secret))["children"] is False
