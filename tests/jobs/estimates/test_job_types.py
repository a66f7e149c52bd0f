import json
from pathlib import Path
from typing import Any

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.trail.models import TrailLine
from jobs.estimates.actions_types import Reminder, UsualLine, choose_job_type, save_job_type
from jobs.estimates.models_types import JobType
from jobs.estimates.queries_types import job_type_of, job_types
from jobs.estimates.rules import Kind
from jobs.estimates.setup import FILE, load_job_types
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import checked_in, eligible

pytestmark = pytest.mark.django_db

# Common practice of the trade, no published source: book hours in tenths and parts at a counter, in minor units.
USUAL = {
    "front-brakes": (15, 25, "Front pads and rotors, one axle", 95_00, 520_00),
    "alternator": (10, 30, "Alternator", 150_00, 500_00),
    "battery": (3, 5, "Battery", 140_00, 260_00),
    "starter": (15, 30, "Starter", 75_00, 400_00),
    "water-pump": (20, 60, "Water pump with gasket", 80_00, 250_00),
    "thermostat": (7, 20, "Thermostat with gasket", 15_00, 60_00),
    "fuel-pump": (10, 40, "Fuel pump module", 200_00, 300_00),
    "belt": (7, 7, "Belt and tensioner", 40_00, 120_00),
}


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    return checked_in(volunteer, eligible(screener))


@pytest.mark.parametrize("code", USUAL)
def test_the_list_begins_with_the_usual_figures(code: str) -> None:
    job = JobType.objects.get(code=code)
    line = job.lines.get(ordinal=1)
    found = (
        job.book_from,
        job.book_to,
        line.text,
        line.low and line.low.minor,
        line.high and line.high.minor,
    )
    assert found == USUAL[code]


def test_every_job_of_the_list_says_what_to_verify_what_can_hurt_and_that_it_is_common_practice() -> None:
    jobs = list(job_types())
    assert len(jobs) == 16
    for job in jobs:
        assert job.source == "common practice"
        assert len(job.verify) >= 2, job
        assert job.cautions, job
        assert all(reminder["days"] > 0 and reminder["text"] for reminder in job.reminders), job


def test_wheels_that_were_off_are_torqued_by_a_second_person_and_again_later() -> None:
    for code in ("front-brakes", "front-hub", "ball-joint", "control-arm", "tie-rods", "tires"):
        job = JobType.objects.get(code=code)
        assert any("second person" in line for line in job.verify), code
        assert any("torque" in reminder["text"] for reminder in job.reminders), code


def test_what_is_lifted_stands_on_stands() -> None:
    for job in job_types().filter(code__in=("front-brakes", "starter", "exhaust", "transmission-service")):
        assert any("never work under a jack alone" in caution for caution in job.cautions), job


def test_loading_again_leaves_what_the_crew_changed() -> None:
    JobType.objects.filter(code="belt").update(verify=["Ours"])
    load_job_types()
    assert JobType.objects.get(code="belt").verify == ["Ours"]
    assert JobType.objects.count() == len(json.loads(Path(FILE).read_text(encoding="utf-8")))


def test_a_repair_gets_its_typical_job_and_its_name_where_none_was_written(
    repair: RepairOrder, volunteer: Person
) -> None:
    assert job_type_of(repair) is None
    brakes = JobType.objects.get(code="front-brakes")
    choose_job_type(by=volunteer, repair=repair, job_type=brakes)
    assert job_type_of(RepairOrder.objects.get(pk=repair.pk)) == brakes
    assert repair.job_type == "Front brake pads and rotors"
    assert TrailLine.objects.filter(subject=repair.number, action="repair.job_type").exists()
    choose_job_type(by=volunteer, repair=repair, job_type=None)
    assert job_type_of(repair) is None
    assert repair.job_type == "Front brake pads and rotors"


def test_words_that_were_written_stay(repair: RepairOrder, volunteer: Person) -> None:
    repair.job_type = "brakes, rusty"
    repair.save()
    choose_job_type(by=volunteer, repair=repair, job_type=JobType.objects.get(code="front-brakes"))
    assert repair.job_type == "brakes, rusty"


def test_an_ended_repair_and_a_retired_job_are_refused(
    repair: RepairOrder, volunteer: Person, treasurer: Person
) -> None:
    belt = JobType.objects.get(code="belt")
    with pytest.raises(NotAllowed):
        choose_job_type(by=treasurer, repair=repair, job_type=belt)
    JobType.objects.filter(code="belt").update(active=False)
    belt.refresh_from_db()
    with pytest.raises(BadInput, match="no longer on the crew's list"):
        choose_job_type(by=volunteer, repair=repair, job_type=belt)
    cancel(by=volunteer, repair=repair, reason="sold")
    with pytest.raises(NotReady):
        choose_job_type(by=volunteer, repair=repair, job_type=JobType.objects.get(code="starter"))


def test_the_crew_writes_a_job_of_its_own(volunteer: Person) -> None:
    line = UsualLine(Kind.PART, "Wiper motor", low=Money(45_00), high=Money(120_00), condition="used")
    job = save_job_type(
        by=volunteer, name="Wiper motor", book_from=8, book_to=12, lines=[line], verify=["Parks itself", " "],
        reminders=[Reminder(30, "Call")],
    )  # fmt: skip
    assert (job.code, job.verify, job.lines.get().usual) == (
        "wiper-motor",
        ["Parks itself"],
        "45.00 to 120.00",
    )
    again = save_job_type(by=volunteer, job_type=job, name="Wipers", verify=["Wipes"])
    assert (again.pk, again.code, again.lines.count()) == (job.pk, "wiper-motor", 0)


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"name": " "}, "Give the job a name"),
        ({"verify": []}, "what a second person verifies"),
        ({"book_from": 20, "book_to": 10}, "smaller figure first"),
        ({"lines": [UsualLine(Kind.PART, " ")]}, "Line 1 has no words"),
        ({"lines": [UsualLine(Kind.PART, "belt", low=Money(2), high=Money(1))]}, "smaller price first"),
        ({"lines": [UsualLine(Kind.PART, "belt", quantity=0)]}, "quantity above zero"),
        ({"reminders": [Reminder(0, "Call")]}, "number of days above zero"),
        ({"source": ""}, "where this comes from"),
    ],
)
def test_what_no_list_can_hold_is_refused(volunteer: Person, facts: dict[str, Any], sentence: str) -> None:
    with pytest.raises(BadInput, match=sentence):
        save_job_type(by=volunteer, **{"name": "Wipers", "verify": ["Wipes"], **facts})


def test_a_name_stands_once(volunteer: Person) -> None:
    with pytest.raises(AlreadyDone, match="already on the list"):
        save_job_type(by=volunteer, name="STARTER", verify=["x"])
