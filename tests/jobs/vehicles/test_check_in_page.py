from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fund.access.models import Person
from jobs.repairs.actions import open_repair
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.models_checkin import CheckIn
from jobs.vehicles.queries_checkin import check_in_of, draft_of, photos_of
from tests.jobs.workshop import checked_in, eligible, four_photos, walked_round

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
WHOLE = {
    "mileage": "148210", "fuel": "half", "no_lights": "on", "zones": ["hood", "wheels"], "damage": "Dent",
    "signed_by": "Ada Quill", "signed": "on", "act": "finish",
}  # fmt: skip


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="sedan", mileage=148_000
    )
    return open_repair(
        by=volunteer, application=application, vehicle=vehicle, complaint="Grinds", mileage_in=148_200
    )


def send(client: Client, repair: RepairOrder, **typed: Any) -> tuple[int, str]:
    answer = client.post(f"/crew/repairs/{repair.number}/check-in/", {**WHOLE, **typed})
    return answer.status_code, answer.content.decode()


def test_a_whole_form_with_its_photos_finishes_the_check_in(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    assert send(client, repair, photos=four_photos())[0] == 302
    row = check_in_of(repair)
    assert row is not None
    assert (row.mileage, row.zones, row.lights, row.photos) == (
        148_210,
        ["hood", "wheels"],
        "none stays on",
        4,
    )
    page = client.get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    for words in ("148210 miles", "Hood, Wheels.", 'data-zone="hood" class="marked"'):
        assert words in page
    assert "Ada Quill" not in page
    assert "<form" not in page.split("<main")[1].split("</main")[0]


def test_miles_typed_with_a_comma_are_miles(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    assert send(client_for(volunteer), repair, mileage="148,210", photos=four_photos())[0] == 302
    row = check_in_of(repair)
    assert row is not None
    assert row.mileage == 148_210


def test_only_who_may_see_papers_reads_who_signed(
    repair: RepairOrder, volunteer: Person, screener: Person, client_for: SignIn
) -> None:
    walked_round(volunteer, repair, signed_by="Ada Quill")
    url = f"/crew/repairs/{repair.number}/check-in/"
    assert "Ada Quill" in client_for(screener).get(url).content.decode()
    assert "Ada Quill" not in client_for(volunteer).get(url).content.decode()


def test_photos_and_words_are_kept_even_when_something_lacks(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    status, page = send(client, repair, photos=four_photos()[:2], mileage="14x", signed_by="Ada Quill")
    assert status == 422
    assert "Write a whole number." in page
    assert 'value="14x"' in page
    assert photos_of(repair).count() == 2
    assert draft_of(repair)["mileage"] == "14x"
    again = client.get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert 'value="Ada Quill"' in again
    assert "Photos: 2 of 4" in again
    assert 'value="hood" id="id_zones_1" checked' in again or "checked" in again.split('value="hood"')[1][:60]


def test_all_that_lacks_is_named_and_nothing_is_signed(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    status, page = send(client_for(volunteer), repair, mileage="", no_lights="", signed="", signed_by="")
    assert status == 422
    for sentence in ("Write the mileage", "which dash lights", "Take 4 photos", "signs with their name"):
        assert sentence in page
    assert not CheckIn.objects.exists()


def test_keeping_it_for_later_signs_nothing(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    assert send(client_for(volunteer), repair, act="keep")[0] == 302
    assert not CheckIn.objects.exists()
    assert draft_of(repair)["zones"] == ["hood", "wheels"]


def test_one_file_that_is_no_photo_takes_no_other_with_it(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    files = [SimpleUploadedFile("virus.jpg", b"MZ nothing"), *four_photos()]
    status, page = send(client_for(volunteer), repair, photos=files)
    assert status == 422
    assert "virus.jpg" in page
    assert photos_of(repair).count() == 4


def test_the_page_begins_with_what_is_known(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert 'value="148200"' in page


def test_the_form_needs_no_script(repair: RepairOrder, volunteer: Person, client_for: SignIn) -> None:
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert page.count('type="checkbox" name="zones"') == 18
    assert 'class="in-words" open' in page
    assert "onclick" not in page
    assert "style=" not in page


def test_who_only_reads_is_told_that_it_is_not_finished(
    repair: RepairOrder, treasurer: Person, client_for: SignIn
) -> None:
    answer = client_for(treasurer).get(f"/crew/repairs/{repair.number}/check-in/")
    assert answer.status_code == 200
    assert "not finished yet" in answer.content.decode()
    assert client_for(treasurer).post(f"/crew/repairs/{repair.number}/check-in/", WHOLE).status_code in (
        200,
        403,
    )
    assert not CheckIn.objects.exists()


def test_a_photo_is_added_later_with_what_it_shows(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    client = client_for(volunteer)
    new = SimpleUploadedFile("new.jpg", four_photos()[0].read() + b"\0")
    answer = client.post(f"/crew/repairs/{repair.number}/photo/", {"photo": new, "words": "Worn pads"})
    assert answer.status_code == 302
    page = client.get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert 'alt="Worn pads"' in page


def test_opening_a_repair_order_leads_to_the_check_in(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = eligible(screener)
    typed = {"year": "2011", "vehicle_class": "compact car", "complaint": "Grinds"}
    answer = client_for(volunteer).post(f"/crew/repairs/open/{application.code}/", typed)
    assert answer["Location"] == "/crew/repairs/RO-0001/check-in/"


def test_the_page_of_the_repair_warns_of_what_came_in_not_safe(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="sedan", mileage=9
    )
    order = open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Pulls")
    client = client_for(volunteer)
    assert "Walk round it" in client.get(f"/crew/repairs/{order.number}/").content.decode()
    walked_round(volunteer, order, unsafe=("steering",), unsafe_words="Stays here")
    page = client.get(f"/crew/repairs/{order.number}/").content.decode()
    assert "Steering or suspension: not safe as it came in." in page
    assert "Stays here" in page
