"""The second person's list, and what the hand-back asks of it."""

from collections.abc import Callable
from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from jobs.estimates.models_types import JobType
from jobs.handback.actions_handback import hand_back
from jobs.handback.actions_proof import record_check_list
from jobs.handback.models import RoadTest
from jobs.handback.queries import what_is_missing
from jobs.handback.queries_proof import lines_asked
from jobs.handback.rules_proof import GENERAL_LINES, CheckLine
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.models import RepairOrder
from jobs.vehicles.queries_checkin import check_in_of
from tests.jobs.handback.conftest import TODAY, look_over

Drive = Callable[..., RoadTest]
NOBODY = "Nobody has gone through the check list yet. Somebody who did not do the work does."


def yes(repair: RepairOrder, **others: tuple[str, str]) -> list[CheckLine]:
    """Yes everywhere but on the lines that start with a word given."""
    rows = []
    for text in lines_asked(repair):
        answer, note = next((said for word, said in others.items() if text.startswith(word)), ("yes", ""))
        rows.append(CheckLine(text, answer, note))
    return rows


def lacks(repair: RepairOrder) -> list[str]:
    return [lack.text for lack in what_is_missing(repair)]


def test_the_list_is_that_of_the_typical_job_and_then_that_of_every_vehicle(repair: RepairOrder) -> None:
    job = JobType.objects.get(code="front-brakes")
    repair.typical_job = job
    assert lines_asked(repair) == [*job.verify, *GENERAL_LINES]


def test_without_a_typical_job_there_is_a_general_list_that_asks_about_wheels(repair: RepairOrder) -> None:
    assert lines_asked(repair)[0].startswith("If a wheel was off: nuts torqued")
    assert lines_asked(repair)[1:] == list(GENERAL_LINES)


def test_a_list_all_yes_by_a_second_person_lets_the_vehicle_go(
    repair: RepairOrder, drive: Drive, volunteer2: Person
) -> None:
    drive(repair, listed=False)
    assert lacks(repair) == [NOBODY]
    row = look_over(volunteer2, repair)
    assert (row.whole, row.by, row.job_type) == (True, volunteer2, "any vehicle")
    assert lacks(repair) == []


def test_whoever_did_the_work_does_not_go_through_the_list(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(TwoPeopleNeeded, match="You did the work"):
        look_over(volunteer, repair)


def test_a_line_without_an_answer_and_a_no_without_why_are_named(
    repair: RepairOrder, volunteer2: Person
) -> None:
    lines = yes(repair, Brake=("no", " "))[1:]
    with pytest.raises(BadInput, match="not whole") as refusal:
        record_check_list(by=volunteer2, repair=repair, on=TODAY, lines=lines)
    assert [line.split(":")[0] for line in refusal.value.details] == [
        "Not answered",
        "Say why in a few words",
    ]


def test_a_no_is_kept_and_the_vehicle_stays_until_a_second_look(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person
) -> None:
    drive(repair, listed=False)
    lines = yes(repair, Bolts=("no", "a rag in the wheel well"))
    record_check_list(by=volunteer2, repair=repair, on=TODAY, lines=lines)
    with pytest.raises(NotReady) as refusal:
        hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    assert refusal.value.details == [
        "On the check list: Bolts, clips, shields and covers are back; no tool and no rag is left behind: "
        "a rag in the wheel well. Put it right and go through it again."
    ]
    look_over(volunteer2, repair)
    assert hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010).check_list.whole


def test_what_comes_later_is_told_on_the_sheet(
    repair: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person
) -> None:
    drive(repair, listed=False)
    lines = yes(repair, If=("not here", "no wheel was off"))
    record_check_list(by=volunteer2, repair=repair, on=TODAY, lines=lines)
    row = hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    assert row.snapshot["checked"]["by"] == "Jun Okafor"
    assert row.snapshot["checked"]["lines"][0] == {
        "text": lines[0].text, "answer": "not here", "note": "no wheel was off",
    }  # fmt: skip


def test_work_after_the_list_asks_for_another_one(
    repair: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    look_over(volunteer2, repair)
    later = date(2026, 3, 16)
    with clock.at(later):
        helper = Skill.objects.get(code="helper")
        add_hours(by=volunteer, repair=repair, person=volunteer, on=later, tenths=5, skill=helper)
        assert "Done after the check list: Work of Mar 16, 2026. Go through it again." in lacks(repair)


def test_no_list_before_the_work_and_none_for_a_day_to_come(
    repair: RepairOrder, volunteer2: Person, treasurer: Person
) -> None:
    assert check_in_of(repair) is not None
    with pytest.raises(BadInput, match="has not come yet"):
        look_over(volunteer2, repair, date(2026, 3, 16))
    with pytest.raises(BadInput, match="the check list comes after it"):
        look_over(volunteer2, repair, date(2026, 3, 14))
    with pytest.raises(NotAllowed):
        look_over(treasurer, repair)
    RepairOrder.objects.filter(pk=repair.pk).update(state="approved")
    with pytest.raises(NotReady, match="The check list comes after the work has begun"):
        look_over(volunteer2, repair)


def test_the_database_refuses_to_change_a_list(repair: RepairOrder, volunteer2: Person) -> None:
    look_over(volunteer2, repair)
    for sql in ("UPDATE jobs_checklist SET job_type = 'x'", "DELETE FROM jobs_checklist"):
        with (
            pytest.raises(DatabaseError, match="what is written stays"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(sql)
