from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.refusal import NotReady
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.estimates.actions_types import choose_job_type
from jobs.estimates.models_types import JobType
from jobs.repairs.actions import open_repair, set_cause
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules_safety import ALWAYS, cautions_for
from jobs.vehicles.actions import add_vehicle
from tests.jobs.workshop import BRAKES, OWN_FOR_YEARS, eligible, money_in_bank, owner_says_yes, walked_round

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    """Approved, but nobody has walked round it and the owner was not asked."""
    money_in_bank(treasurer, 3_000_00)
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer,
        household=application.household,
        year=2011,
        vehicle_class="sedan",
        mileage=148_000,
        standing=OWN_FOR_YEARS,
    )
    order = open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Grinds")
    set_cause(by=volunteer, repair=order, cause="Pads down to metal")
    set_estimate(by=volunteer, repair=order, lines=BRAKES)
    for person in (volunteer, owner):
        answer_relation(by=person, repair=order, tie=False)
    return approve(by=owner, repair=order).repair


def test_no_vehicle_goes_into_the_bay_before_its_check_in_and_its_owners_yes(
    approved: RepairOrder, volunteer: Person
) -> None:
    with pytest.raises(NotReady) as refusal:
        start_work(by=volunteer, repair=approved)
    assert [line.split(":")[0] for line in refusal.value.details] == [
        "Finish the check-in", "Ask the vehicle's owner",
    ]  # fmt: skip
    approved.refresh_from_db()
    assert approved.state == "approved"
    walked_round(volunteer, approved)
    owner_says_yes(volunteer, approved)
    assert start_work(by=volunteer, repair=approved).state == "in the bay"


def test_the_page_says_what_lacks_and_keeps_the_repair_where_it_was(
    approved: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    page = client_for(volunteer).post(f"/crew/repairs/{approved.number}/start/", follow=True).content.decode()
    assert "cannot go into the bay yet" in page
    assert "Finish the check-in" in page


def test_cautions_of_the_job_stand_where_work_begins_and_on_the_printed_sheet(
    approved: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    choose_job_type(by=volunteer, repair=approved, job_type=JobType.objects.get(code="fuel-pump"))
    client = client_for(volunteer)
    for path in (f"/crew/repairs/{approved.number}/", f"/crew/repairs/{approved.number}/work-sheet/"):
        page = client.get(path).content.decode()
        for words in ("Relieve the fuel pressure first", "Two people on site", "come before this list"):
            assert words in page, (path, words)
    sheet = client.get(f"/crew/repairs/{approved.number}/work-sheet/").content.decode()
    assert "Pressure holds after the key is off" in sheet
    assert "Pads down to metal" in sheet


def test_without_a_typical_job_the_general_cautions_stand(
    approved: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{approved.number}/work-sheet/").content.decode()
    assert "Never under a vehicle on a jack alone" in page


# 29 CFR 1910.244(a)(2)(iii): a raised load is cribbed, blocked or secured at once. WAC 296-307-22509(3) adds that
# nobody works under a load on jacks alone. Every list must say so, whatever the job.
@pytest.mark.parametrize("code", ["front-brakes", "battery", "exhaust"])
def test_every_list_of_cautions_says_that_nobody_works_under_a_jack_alone(code: str) -> None:
    lines = cautions_for(JobType.objects.get(code=code).cautions)
    said = [line for line in lines if "jack alone" in line]
    assert len(said) == 1
    assert "at once" in said[0].lower() or "at once" in said[0]
    assert cautions_for([]) == list(ALWAYS)
