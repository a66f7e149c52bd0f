"""How often and how much a household is helped: what counts, when it is asked, and who may let it pass."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.money import Money
from fund.refusal import NotReady
from fund.rulebook.actions import set_rule
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions_second import ask_exception, tie_then_answer
from jobs.eligibility.queries import household_facts
from jobs.eligibility.queries_rules import helped, rules_applied
from jobs.eligibility.rules_facts import FAIL, PASS, Finding
from jobs.handback.actions_comeback import open_comeback
from jobs.intake.actions import mark_helped
from jobs.intake.actions_same import merge_households
from jobs.intake.models import Application
from jobs.repairs.actions import open_repair
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from tests.jobs.workshop import checked_in, eligible, money_in_bank, part, priced, ready, without_share

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)
ClientFor = Callable[[Person], Client]


def of(rule: str, found: list[Finding]) -> Finding:
    return next(row for row in found if row.rule == rule)


def given(volunteer: Person, repair: RepairOrder) -> RepairOrder:
    """Handed back today, as the hand-back leaves it."""
    RepairOrder.objects.filter(pk=repair.pk).update(state="handed back", handed_back_on=DAY)
    mark_helped(by=volunteer, application=repair.application)
    repair.refresh_from_db()
    return repair


@pytest.fixture
def rich(treasurer: Person, owner: Person) -> None:
    money_in_bank(treasurer, 9_000_00)
    without_share(owner)


@pytest.mark.usefixtures("rich")
def test_a_request_that_was_helped_takes_no_second_repair(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    given(volunteer, repair)
    for vehicle in (
        repair.vehicle,
        add_vehicle(by=screener, household=repair.household, year=2012, vehicle_class="van"),
    ):
        with pytest.raises(NotReady, match="A-0001 was helped already.*Take down a further request"):
            open_repair(by=volunteer, application=repair.application, vehicle=vehicle, complaint="Stalls")
    assert open_comeback(by=volunteer, original=repair, complaint="Grinds again").repair.number == "RO-0002"


def test_a_second_vehicle_is_a_request_of_its_own(screener: Person, volunteer: Person) -> None:
    first = checked_in(volunteer, eligible(screener))
    with pytest.raises(NotReady, match="RO-0001 is open for A-0001 already: a second vehicle"):
        checked_in(volunteer, first.application)


@pytest.mark.usefixtures("rich")
def test_another_repair_of_the_same_request_counts_when_one_is_decided_on(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner, lines=part(700_00))
    approve(by=owner, repair=repair)
    given(volunteer, repair)
    second = RepairOrder.objects.get(pk=repair.pk)
    second.pk = None
    found = rules_applied(repair.application, cost=Money(100_00), repair=second)
    assert of("times", found).outcome == FAIL
    assert of("times", found).words.startswith("1 repair given or promised in the last 12 months")
    own = rules_applied(repair.application, cost=Money(100_00), repair=repair)
    assert (of("times", own).outcome, of("cap", own).outcome) == (PASS, PASS)


@pytest.mark.usefixtures("rich")
def test_what_is_promised_counts_against_the_cap_like_what_was_spent(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner, lines=part(700_00))
    approve(by=owner, repair=repair)
    assert [(row.number, row.on, row.cost) for row in helped(repair.household)] == [
        ("RO-0001", DAY, Money(700_00))
    ]
    again = Application.objects.get(pk=eligible(screener, "Other").pk)
    Application.objects.filter(pk=again.pk).update(household=repair.household)
    again.refresh_from_db()
    found = rules_applied(again, cost=Money(800_01))
    assert of("cap", found).words == (
        "$700.00 spent or promised in the last 12 months and $800.01 now make $1,500.01; "
        "$1,500.00 is the limit of a household."
    )
    assert of("cap", found).outcome == FAIL
    assert of("cap", rules_applied(again, cost=Money(800_00))).outcome == PASS


@pytest.fixture
def two_merged(
    rich: None, screener: Person, volunteer: Person, owner: Person
) -> tuple[RepairOrder, RepairOrder]:
    """Two requests each found eligible, the first approved, then seen to be of one household."""
    first = ready(screener, volunteer, owner)
    second = ready(screener, volunteer, owner, name="Somebody else", lines=part(300_00))
    approve(by=owner, repair=first)
    merge_households(
        by=screener, kept=first.household, other=second.household, reason="One address, one kitchen"
    )
    second.refresh_from_db()
    second.application.refresh_from_db()
    return first, second


def test_two_requests_found_eligible_and_merged_are_one_help_a_year_at_the_approval(
    two_merged: tuple[RepairOrder, RepairOrder], screener: Person, owner: Person, treasurer: Person
) -> None:
    _, second = two_merged
    with pytest.raises(NotReady, match="1 repair given or promised in the last 12 months"):
        approve(by=owner, repair=second)
    asked = ask_exception(by=screener, application=second.application, rule="times", reason="The brakes fail")
    tie_then_answer(by=treasurer, exception=asked, tie=False, agreed=True)
    approval = approve(by=owner, repair=second)
    words = [row["words"] for row in approval.snapshot["rules"]]
    assert any("Exception: The brakes fail (Ines Moreau and Odell Price)" in row for row in words)


def test_whoever_decides_finds_the_way_to_an_exception_on_the_screen(
    two_merged: tuple[RepairOrder, RepairOrder], client_for: ClientFor, owner: Person, screener: Person
) -> None:
    _, second = two_merged
    page = client_for(owner).get(f"/crew/repairs/{second.number}/approval/")
    link = f"/crew/intake/{second.application.code}/exception/"
    assert "1 repair given or promised" in page.text
    assert link in page.text
    asking = client_for(screener).get(link)
    assert "1 repair given or promised" in asking.text


@pytest.mark.usefixtures("rich")
def test_an_exception_about_cost_can_be_asked_for_on_its_page_once_the_repair_is_priced(
    client_for: ClientFor, screener: Person, volunteer: Person, owner: Person
) -> None:
    set_rule(by=owner, name="household_cap", value="150.00", valid_from=DAY, reason="A lean year")
    repair = ready(screener, volunteer, owner)
    link = f"/crew/intake/{repair.application.code}/exception/"
    assert "$182.29 now make $182.29; $150.00 is the limit" in client_for(screener).get(link).text
    sent = client_for(screener).post(link, {"tie": "no", "rule": "cap", "reason": "It is the brakes"})
    assert sent.status_code == 302
    given = repair.application.exceptions.get()
    assert (given.rule, given.up_to) == ("cap", Money(182_29))
    page = client_for(owner).get(f"/crew/intake/exceptions/{given.pk}/").content.decode()
    assert "Up to a cost of the repair of $182.29. What costs more is asked for anew." in page


@pytest.mark.usefixtures("rich")
def test_the_screen_says_of_a_comeback_that_the_household_was_helped_before(
    client_for: ClientFor, screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner)
    assert household_facts(repair.application).past_repairs == 0
    approve(by=owner, repair=repair)
    given(volunteer, repair)
    again = open_comeback(by=volunteer, original=repair, complaint="Grinds again").repair
    page = client_for(owner).get(f"/crew/repairs/{again.number}/approval/").text
    assert "1 time, with the repair that came back" in page
    assert household_facts(again.application).past_repairs == 1


@pytest.mark.usefixtures("rich")
def test_a_comeback_is_no_second_help_of_a_later_request(
    screener: Person, volunteer: Person, owner: Person
) -> None:
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    given(volunteer, repair)
    open_comeback(by=volunteer, original=repair, complaint="Grinds again")
    RepairOrder.objects.filter(number="RO-0002").update(state="in the bay", approved_on=DAY)
    assert [row.number for row in helped(repair.household)] == ["RO-0001"]
    with clock.at(DAY + timedelta(days=366)):
        assert of("times", rules_applied(repair.application)).outcome == PASS


def test_a_repair_that_was_declined_leaves_the_request_free_for_a_repair(
    screener: Person, volunteer: Person
) -> None:
    repair = priced(volunteer, eligible(screener))
    RepairOrder.objects.filter(pk=repair.pk).update(state="declined")
    answer_relation(by=volunteer, repair=repair, tie=False)
    assert checked_in(volunteer, repair.application).number == "RO-0002"
