"""What the household agreed to and what its yes is tied to binds whoever starts, drives and hands back."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.refusal import BadInput, NotReady
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions import decide
from jobs.eligibility.actions_second import ask_exception, tie_then_answer
from jobs.handback.models import RoadTest
from jobs.households.actions_consent import change_consent
from jobs.intake.actions import answer_relation as answer_at_screening
from jobs.intake.models import Application
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.repairs.rules_bounds import NO_ROAD, NO_WORK, Bounds, drive_refusal
from tests.jobs.workshop import eligible, money_in_bank, priced

pytestmark = pytest.mark.django_db
Drive = Callable[..., RoadTest]
SignIn = Callable[[Person], Client]
TRAILER = "No test on public roads, and handed back on a trailer or once insurance is shown."


@pytest.fixture
def uninsured(screener: Person, owner: Person, volunteer: Person, treasurer: Person) -> RepairOrder:
    """In the bay; its household has no insurance, and a second person let that rule give way."""
    money_in_bank(treasurer, 5_000_00)
    application = eligible(screener)
    Application.objects.filter(pk=application.pk).update(answers={**application.answers, "insured": "no"})
    application.refresh_from_db()
    row = ask_exception(
        by=screener, application=application, rule="insurance", reason="The repair is the blocker"
    )
    tie_then_answer(by=owner, exception=row, tie=False, agreed=True)
    answer_at_screening(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict="eligible", reasons=["income within"])
    repair = priced(volunteer, application, mechanic=volunteer)
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    return start_work(by=volunteer, repair=repair)


def taken_back(by: Person, repair: RepairOrder, key: str) -> None:
    change_consent(by=by, application=repair.application, key=key, given=False)


@pytest.mark.parametrize(
    ("bounds", "route", "says"),
    [
        (Bounds(), "town", ""),
        (Bounds(work=False), "yard", NO_WORK),
        (Bounds(road=False), "highway", NO_ROAD),
        (Bounds(road=False), "yard", ""),
        (Bounds((TRAILER,), no_road_condition=TRAILER), "mixed", "“Yard only”"),
        (Bounds((TRAILER,), no_road_condition=TRAILER), "yard", ""),
        (Bounds(("Something else",)), "mixed", ""),
    ],
)
def test_a_route_is_allowed_or_says_what_to_do_instead(bounds: Bounds, route: str, says: str) -> None:
    found = drive_refusal(bounds, route)
    assert says in found
    assert bool(says) is bool(found)


def test_work_does_not_begin_once_the_household_took_its_yes_back(
    screener: Person, owner: Person, volunteer: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = priced(volunteer, eligible(screener), mechanic=volunteer)
    answer_relation(by=owner, repair=repair, tie=False)
    approve(by=owner, repair=repair)
    taken_back(screener, repair, "work")
    with pytest.raises(NotReady) as refusal:
        start_work(by=volunteer, repair=repair)
    assert refusal.value.details == [NO_WORK]
    repair.refresh_from_db()
    assert repair.state == State.APPROVED


def test_a_vehicle_whose_household_took_back_its_yes_is_not_driven(
    repair: RepairOrder, drive: Drive, screener: Person
) -> None:
    taken_back(screener, repair, "road test")
    with pytest.raises(NotReady, match="does not agree that the crew drives"):
        drive(repair)
    assert drive(repair, route="yard").route == "yard"


def test_no_test_is_signed_at_all_where_the_work_is_no_longer_agreed_to(
    repair: RepairOrder, drive: Drive, screener: Person
) -> None:
    taken_back(screener, repair, "work")
    with pytest.raises(NotReady, match="took back its yes to inspecting and repairing"):
        drive(repair, route="yard")
    assert not repair.road_tests.exists()


def test_without_insurance_it_is_tested_in_the_yard_only(uninsured: RepairOrder, drive: Drive) -> None:
    with pytest.raises(NotReady, match="not tested on public roads"):
        drive(uninsured, route="town")
    assert drive(uninsured, route="yard").result == "pass"


def test_a_fault_that_comes_and_goes_stays_unproved_in_the_yard_and_goes_back_as_not_duplicated(
    repair: RepairOrder, drive: Drive, screener: Person
) -> None:
    RepairOrder.objects.filter(pk=repair.pk).update(intermittent=True, owner_minutes_to_failure=30)
    repair.refresh_from_db()
    taken_back(screener, repair, "road test")
    with pytest.raises(BadInput, match="drive at least 45"):
        drive(repair, route="yard")
    said = drive(
        repair, route="yard", result="could not duplicate", note="20 min at idle and round the yard, warm"
    )
    assert said.result == "could not duplicate"


@pytest.mark.parametrize("path", ["", "road-test/", "hand-back/"])
def test_the_conditions_stand_on_every_page_that_volunteers_work_from(
    uninsured: RepairOrder, volunteer: Person, client_for: SignIn, path: str
) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{uninsured.number}/{path}").content.decode()
    assert TRAILER in page
    assert "The repair is the blocker" not in page
