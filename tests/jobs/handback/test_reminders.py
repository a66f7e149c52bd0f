"""What is due after a hand-back, by day, until somebody says how it went."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from jobs.estimates.models_types import JobType
from jobs.handback.actions_handback import finish_reminder, hand_back
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import Reminder
from jobs.handback.queries_proof import open_reminders
from jobs.handback.rules_proof import CALL, LEVEL, RETORQUE, Due, FluidDraft, reminders_after
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY

Drive = Callable[..., RoadTest]
ClientFor = Callable[[Person], Client]


def test_wheels_levels_and_the_call_are_due_on_their_days() -> None:
    """After 50 to 100 miles, the next morning and after thirty days; common practice of the trade."""
    assert reminders_after(date(2026, 3, 15), [], wheels_off=True, cold_level=True) == [
        Due(date(2026, 3, 16), LEVEL),
        Due(date(2026, 3, 18), RETORQUE),
        Due(date(2026, 4, 14), CALL),
    ]


def test_a_repair_with_wheels_on_and_no_coolant_only_gets_the_call() -> None:
    assert reminders_after(date(2026, 1, 31), [], wheels_off=False, cold_level=False) == [
        Due(date(2026, 3, 2), CALL)
    ]


def test_what_the_typical_job_reminds_of_is_not_asked_twice() -> None:
    job: list[dict[str, Any]] = [
        {"days": 2, "text": "Wheel nuts: torque again, come by."},
        {"days": 20, "text": "Call: does it still stop well?"},
    ]
    found = reminders_after(date(2026, 3, 15), job, wheels_off=True, cold_level=False)
    assert [(due.on.day, due.text) for due in found] == [(17, job[0]["text"]), (4, job[1]["text"])]


@pytest.fixture
def given(repair: RepairOrder, drive: Drive, volunteer: Person) -> RepairOrder:
    repair.typical_job = JobType.objects.get(code="water-pump")
    repair.save()
    drive(repair, fluids=[FluidDraft("coolant", "later", put_in=9000)])
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    return repair


def test_a_hand_back_writes_down_what_is_due_and_prints_it(given: RepairOrder) -> None:
    rows = [(row.due.isoformat(), row.text) for row in given.reminders.all()]
    assert rows == [
        ("2026-03-16", "Coolant level, engine cold, the next morning."),
        ("2026-03-18", RETORQUE),  # the brake job took the wheels off
        ("2026-04-14", "Call: is it still good?"),
    ]
    assert given.hand_back.snapshot["due"][0] == {"on": "2026-03-16", "text": rows[0][1]}


def test_today_counts_what_is_due_and_leaves_out_what_is_done(
    given: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    with clock.at(date(2026, 3, 18)):
        assert '2</span> <span class="what">things due after hand-backs' in " ".join(
            client_for(volunteer).get("/crew/").content.decode().split()
        )
        finish_reminder(by=volunteer, reminder=open_reminders()[0], outcome="well")
        assert [row.text for row in open_reminders()] == [RETORQUE]


def test_a_reminder_keeps_who_did_it_when_and_how_it_went(given: RepairOrder, volunteer: Person) -> None:
    row = given.reminders.all()[0]
    with clock.at(date(2026, 3, 17)):
        done = finish_reminder(
            by=volunteer, reminder=row, outcome="back", note="two fingers low, drops below"
        )
    assert (done.done_on, done.done_by, done.outcome) == (date(2026, 3, 17), volunteer, "back")
    with pytest.raises(AlreadyDone, match="done on Mar 17, 2026"):
        finish_reminder(by=volunteer, reminder=row, outcome="well")


@pytest.mark.parametrize("outcome", ["back", "not reached"])
def test_anything_but_all_well_needs_a_word(given: RepairOrder, volunteer: Person, outcome: str) -> None:
    row = given.reminders.all()[0]
    with pytest.raises(BadInput, match="few words"):
        finish_reminder(by=volunteer, reminder=row, outcome=outcome, note=" ")
    with pytest.raises(BadInput, match="Say how it went"):
        finish_reminder(by=volunteer, reminder=row, outcome="hm")


def test_only_volunteers_and_owners_end_a_reminder(given: RepairOrder, treasurer: Person) -> None:
    with pytest.raises(NotAllowed):
        finish_reminder(by=treasurer, reminder=given.reminders.all()[0], outcome="well")


def test_a_call_that_finds_the_fault_back_leads_to_checking_it_in_again(
    given: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    row = Reminder.objects.latest("due")
    with clock.at(date(2026, 4, 14)):
        answer = client_for(volunteer).post(
            f"/crew/repairs/after/reminders/{row.pk}/", {"outcome": "back", "note": "leaks again"}
        )
    assert answer.headers["Location"] == f"/crew/repairs/{given.number}/comeback/"
