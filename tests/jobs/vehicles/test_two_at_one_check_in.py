"""Two people at one check-in: the later one writes over nothing they have not read."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from fund.access.models import Person
from fund.refusal import NotReady
from jobs.repairs.actions import open_repair
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_checkin import keep_check_in
from jobs.vehicles.models_checkin import CheckIn
from jobs.vehicles.queries_checkin import draft_mark, draft_of, photos_of
from tests.jobs.workshop import eligible, four_photos

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
ELSE = "This check-in was written on elsewhere since you opened the page."


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    application = eligible(screener)
    vehicle = add_vehicle(by=volunteer, household=application.household, year=2011, vehicle_class="sedan")
    return open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Grinds")


def read(page: Any) -> str:
    found = re.search(r'name="read" value="(\w{32})"', page.content.decode())
    assert found
    return found[1]


def opened(client: Client, repair: RepairOrder) -> str:
    return read(client.get(f"/crew/repairs/{repair.number}/check-in/"))


def send(client: Client, repair: RepairOrder, **typed: Any) -> Any:
    headers = typed.pop("headers", None)
    return client.post(f"/crew/repairs/{repair.number}/check-in/", {"act": "keep", **typed}, headers=headers)


def test_the_later_one_is_told_what_was_kept_meanwhile_and_loses_nothing_typed(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    first, second = opened(tavi, repair), opened(jun, repair)
    assert send(tavi, repair, read=first, mileage="148210", unsafe=["brakes"]).status_code == 302
    answer = send(jun, repair, read=second, damage="Dent", mileage="148200")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert ELSE in page
    assert "<li>Miles on the odometer: 148210</li>" in page
    assert "<li>Not safe; the owner was told: Brakes</li>" in page
    assert 'value="Dent"' in page
    assert draft_of(repair)["mileage"] == "148210"
    again = send(jun, repair, read=read(answer), damage="Dent", mileage="148210", unsafe=["brakes"])
    assert again.status_code == 302
    assert (draft_of(repair)["damage"], draft_of(repair)["unsafe"]) == ("Dent", ["brakes"])


def test_nothing_is_signed_over_what_was_not_read(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    second = opened(jun, repair)
    send(tavi, repair, read=opened(tavi, repair), unsafe=["brakes"], photos=four_photos())
    whole = {
        "mileage": "148210",
        "no_lights": "on",
        "signed_by": "Ada Quill",
        "signed": "on",
        "act": "finish",
    }
    assert send(jun, repair, read=second, **whole).status_code == 422
    assert not CheckIn.objects.exists()


def test_photos_sent_by_themselves_bring_the_mark_along(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    first, second = opened(tavi, repair), opened(jun, repair)
    htmx = {"HX-Request": "true"}
    shown = tavi.get(send(tavi, repair, read=first, mileage="148210", headers=htmx)["Location"])
    assert send(tavi, repair, read=read(shown), mileage="148210", damage="Dent").status_code == 302
    refused = send(jun, repair, read=second, mileage="1", photos=four_photos()[:1], headers=htmx)
    assert refused.status_code == 422
    assert photos_of(repair).count() == 1
    assert read(refused) == second  # only the photos are shown there: nobody was told yet


def test_one_who_goes_on_alone_is_never_stopped(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    answer = send(client, repair, read=opened(client, repair), mileage="148210", act="finish")
    page = answer.content.decode()
    assert ELSE not in page
    assert "Take 4 photos" in page
    assert send(client, repair, read=read(answer), mileage="148211").status_code == 302


def test_the_action_compares_under_its_lock(repair: RepairOrder, volunteer: Person) -> None:
    empty = draft_mark({})
    keep_check_in(by=volunteer, repair=repair, typed={"mileage": "1"}, read=empty)
    with pytest.raises(NotReady, match="written on elsewhere"):
        keep_check_in(by=volunteer, repair=repair, typed={"mileage": "2"}, read=empty)
    keep_check_in(by=volunteer, repair=repair, typed={"mileage": "1"}, read=empty)  # the same words again
    keep_check_in(by=volunteer, repair=repair, typed={"mileage": "3"})
    assert draft_of(repair) == {"mileage": "3"}
