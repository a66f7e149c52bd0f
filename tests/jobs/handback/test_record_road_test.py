"""Signing a road test."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed, NotReady
from fund.rulebook.actions import set_rule
from jobs.handback.actions import Observed
from jobs.handback.models import RoadTest
from jobs.handback.rules_proof import FluidDraft
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.handback.conftest import EVERY_LINE, TODAY

Drive = Callable[..., RoadTest]
Make = Callable[..., RepairOrder]


def test_a_pass_moves_the_repair_on_and_keeps_every_field(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    seen = Observed(
        passenger="Jun Okafor", ambient_f=52, in_traffic=True, on_hill=True, noises="none", pull="none",
        brake="firm", lights_after="none", codes_before="none", readiness="ready", leaks="dry",
        wheel_torque_lbft=100, wheel_torque_by=volunteer,
    )  # fmt: skip
    hot = FluidDraft("transmission", "at mark", put_in=8000, added=1000, out=9000, temp_f=180)
    test = drive(repair, observed=seen, fluids=[hot])
    repair.refresh_from_db()
    assert (repair.state, repair.tested_on) == (State.TESTED, TODAY)
    test.refresh_from_db()
    assert (test.miles, test.result, test.wheel_torque_lbft) == (8, "pass", 100)
    line = test.fluids.get()
    assert (line.out, line.put_in, line.added, line.level, line.temp_f) == (9000, 8000, 1000, "at mark", 180)
    assert (test.wheel_torque_by, test.on_hill, test.on_highway) == (volunteer, True, False)


def test_a_fail_keeps_the_repair_in_the_bay(repair: RepairOrder, drive: Drive) -> None:
    drive(repair, result="fail", complaint_returned=True)
    repair.refresh_from_db()
    assert repair.state == State.IN_WORK


def test_a_fail_after_a_pass_brings_the_repair_back_into_the_bay(repair: RepairOrder, drive: Drive) -> None:
    drive(repair)
    drive(
        repair, result="fail", note="pulls left when braking", safety=EVERY_LINE | {"steering_right": False}
    )
    repair.refresh_from_db()
    assert (repair.state, repair.tested_on) == (State.IN_WORK, None)


def test_a_pass_without_every_safety_line_names_the_lines(repair: RepairOrder, drive: Drive) -> None:
    with pytest.raises(BadInput) as refusal:
        drive(repair, safety=EVERY_LINE | {"no_leaks": False, "lights_work": False})
    assert refusal.value.details == [
        "Not yes: Lights, horn and wipers work.",
        "Not yes: No leak after ten minutes at idle.",
    ]
    assert not RoadTest.objects.exists()


def test_an_intermittent_complaint_cannot_pass_on_fewer_minutes(make_repair: Make, drive: Drive) -> None:
    repair = make_repair(intermittent=True, owner_minutes_to_failure=25)
    with pytest.raises(BadInput) as refusal:
        drive(repair, minutes=12)
    assert refusal.value.sentence == (
        "This is not a “pass”: The owner's fault shows after 25 minutes; drive at least 38 (1.5 times), "
        "this drive was 12."
    )
    test = drive(repair, minutes=38)
    assert (test.owner_minutes, test.owner_miles, test.factor_tenths) == (25, None, 15)


def test_an_intermittent_complaint_cannot_pass_on_fewer_miles(make_repair: Make, drive: Drive) -> None:
    repair = make_repair(intermittent=True, owner_miles_to_failure=30)
    with pytest.raises(
        BadInput, match="shows after 30 miles; drive at least 45 .1.5 times., this drive was 8"
    ):
        drive(repair)


def test_the_funds_own_factor_is_used_and_kept(make_repair: Make, drive: Drive, owner: Person) -> None:
    repair = make_repair(intermittent=True, owner_minutes_to_failure=20)
    set_rule(by=owner, name="road_test_factor_tenths", value="20", valid_from=TODAY, reason="Surer.")
    with pytest.raises(BadInput, match="drive at least 40 .2 times., this drive was 39"):
        drive(repair, minutes=39)
    assert drive(repair, minutes=40).factor_tenths == 20


def test_could_not_duplicate_is_its_own_result(make_repair: Make, drive: Drive) -> None:
    repair = make_repair(intermittent=True, owner_minutes_to_failure=15)
    with pytest.raises(BadInput, match="under which conditions"):
        drive(repair, result="could not duplicate")
    test = drive(repair, minutes=23, result="could not duplicate", note="23 min town, 85 F, two on board")
    assert test.result == "could not duplicate"
    repair.refresh_from_db()
    assert repair.state == State.TESTED


def test_who_did_the_work_signs_only_with_a_reason(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    with pytest.raises(BadInput, match="somebody else should sign"):
        drive(repair, by=volunteer)
    test = drive(repair, by=volunteer, same_person_reason="Jun is away until Friday")
    assert (test.signed_by, test.same_person_reason) == (volunteer, "Jun is away until Friday")


def test_skilled_hours_make_someone_a_mechanic_of_the_repair(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person, owner: Person
) -> None:
    skill = Skill.objects.get(code="mechanic")
    add_hours(by=volunteer2, repair=repair, person=volunteer2, on=TODAY, tenths=5, skill=skill)
    with pytest.raises(BadInput, match="somebody else should sign"):
        drive(repair, by=volunteer2)
    assert drive(repair, by=owner).signed_by == owner


def test_no_road_test_before_the_work_has_begun(
    make_repair: Make, drive: Drive, repair: RepairOrder, volunteer: Person
) -> None:
    RepairOrder.objects.filter(pk=repair.pk).update(state=State.APPROVED)
    with pytest.raises(NotReady, match="A road test comes after the work has begun"):
        drive(repair)


@pytest.mark.parametrize(
    ("on", "words"),
    [(date(2026, 3, 16), "has not come yet"), (date(2026, 3, 14), "Work began on Mar 15, 2026")],
)
def test_the_day_must_lie_after_the_work_and_not_ahead(
    repair: RepairOrder, drive: Drive, on: date, words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        drive(repair, on=on)


@pytest.mark.parametrize("who", ["treasurer", "screener", "accountant"])
def test_only_volunteers_and_owners_record_road_tests(
    repair: RepairOrder, drive: Drive, who: str, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(NotAllowed):
        drive(repair, by=request.getfixturevalue(who))


def test_an_unknown_result_is_refused(repair: RepairOrder, drive: Drive) -> None:
    with pytest.raises(BadInput, match="pass, fail, or could not duplicate"):
        drive(repair, result="fixed")


def test_the_database_refuses_to_change_a_road_test(repair: RepairOrder, drive: Drive) -> None:
    drive(repair, result="fail", complaint_returned=True)
    for sql in ("UPDATE jobs_roadtest SET result = 'pass'", "DELETE FROM jobs_roadtest"):
        with (
            pytest.raises(DatabaseError, match="what is written stays"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(sql)


def test_the_database_itself_refuses_a_pass_with_a_safety_line_missing(
    repair: RepairOrder, drive: Drive
) -> None:
    good = drive(repair)
    good.pk, good.id, good.no_leaks = None, None, False
    with pytest.raises(IntegrityError), transaction.atomic():
        good.save(force_insert=True)
