"""A photo that is blurry or of another vehicle is taken out, as long as nobody has signed."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.trail.models import TrailLine
from jobs.repairs.actions import open_repair
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_checkin import add_photo, finish_check_in
from jobs.vehicles.actions_photos import take_out_photo
from jobs.vehicles.models_checkin import VehiclePhoto
from jobs.vehicles.queries_checkin import draft_of, photos_of
from jobs.vehicles.rules_checkin import CheckInFacts
from tests.jobs.workshop import eligible, four_photos, walked_round

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
WHOLE = CheckInFacts(mileage=148_210, no_lights=True, signed_by="Ada Quill", signed=True)


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="sedan", mileage=148_000
    )
    return open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Grinds")


@pytest.fixture
def photos(repair: RepairOrder, volunteer: Person) -> list[VehiclePhoto]:
    return [add_photo(by=volunteer, repair=repair, upload=one) for one in four_photos()]


def address(photo: VehiclePhoto) -> str:
    return f"/crew/repairs/{photo.repair.number}/photos/{photo.pk}/take-out/"


def test_a_photo_taken_out_is_gone_with_its_file_and_the_trail_says_who(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person
) -> None:
    blurry = photos[0]
    assert file_of(blurry.attachment).is_file()
    take_out_photo(by=volunteer, photo=blurry)
    assert not file_of(blurry.attachment).exists()
    assert list(photos_of(repair)) == photos[1:]
    kept = Attachment.objects.get(pk=blurry.attachment_id)
    assert (kept.name, kept.likeness) == ("", "")
    line = TrailLine.objects.get(action="photo.take_out")
    assert (line.by, line.subject) == (volunteer, repair.number)
    assert kept.code in line.text
    assert line.data == {"sha256": kept.sha256}


def test_what_is_left_must_still_be_as_many_as_the_rule_asks(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person
) -> None:
    take_out_photo(by=volunteer, photo=photos[0])
    with pytest.raises(BadInput, match="Take 4 photos or more; there are 3"):
        finish_check_in(by=volunteer, repair=repair, facts=WHOLE)


def test_the_same_picture_may_be_put_in_again(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person
) -> None:
    take_out_photo(by=volunteer, photo=photos[0])
    again = add_photo(by=volunteer, repair=repair, upload=four_photos()[0])
    assert again.pk != photos[0].pk
    assert file_of(again.attachment).is_file()
    assert finish_check_in(by=volunteer, repair=repair, facts=WHOLE).photos == 4


def test_a_file_that_another_record_shows_too_stays(
    photos: list[VehiclePhoto], screener: Person, volunteer: Person
) -> None:
    application = eligible(screener, "Other of the tests")
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2012, vehicle_class="van", mileage=9
    )
    other = open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Stalls")
    shared = add_photo(by=volunteer, repair=other, upload=four_photos()[0])
    take_out_photo(by=volunteer, photo=photos[0])
    assert file_of(shared.attachment).is_file()
    take_out_photo(by=volunteer, photo=shared)
    assert not file_of(shared.attachment).exists()


def test_a_signed_check_in_keeps_its_photos(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person
) -> None:
    walked_round(volunteer, repair)
    with pytest.raises(
        AlreadyDone, match="is checked in and signed. Its photos stay as the owner signed them"
    ):
        take_out_photo(by=volunteer, photo=photos[0])
    assert photos_of(repair).count() == 4
    assert file_of(photos[0].attachment).is_file()


def test_nobody_takes_out_the_same_photo_twice(photos: list[VehiclePhoto], volunteer: Person) -> None:
    take_out_photo(by=volunteer, photo=photos[0])
    with pytest.raises(AlreadyDone, match="taken out already"):
        take_out_photo(by=volunteer, photo=photos[0])
    assert TrailLine.objects.filter(action="photo.take_out").count() == 1


def test_only_hands_of_the_shop_and_only_while_the_repair_is_open(
    repair: RepairOrder, photos: list[VehiclePhoto], treasurer: Person, volunteer: Person
) -> None:
    with pytest.raises(NotAllowed):
        take_out_photo(by=treasurer, photo=photos[0])
    cancel(by=volunteer, repair=repair, reason="sold")
    with pytest.raises(NotReady, match="no longer written on"):
        take_out_photo(by=volunteer, photo=photos[0])


def test_the_button_keeps_what_is_typed_and_asks_first(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    here = f"/crew/repairs/{repair.number}/check-in/"
    page = client.get(here).content.decode()
    assert page.count('name="take_out"') == 4
    typed = {"mileage": "14x", "damage": "Dent", "take_out": str(photos[1].pk)}
    answer = client.post(here, typed)
    assert answer["Location"] == address(photos[1])
    assert draft_of(repair)["mileage"] == "14x"
    asked = client.get(address(photos[1])).content.decode()
    assert "Take this photo out?" in asked
    assert photos_of(repair).count() == 4
    done = client.post(address(photos[1]))
    assert done["Location"] == f"{here}#photos"
    page = client.get(here).content.decode()
    assert "Photos: 3 of 4" in page
    assert 'value="14x"' in page


def test_the_page_of_a_signed_check_in_says_why_it_stays(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person, client_for: SignIn
) -> None:
    walked_round(volunteer, repair)
    client = client_for(volunteer)
    assert 'name="take_out"' not in client.get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    answer = client.post(address(photos[0]))
    assert answer.status_code == 422
    assert "Its photos stay as the owner signed them." in answer.content.decode()


def test_a_photo_of_another_repair_is_not_found(
    photos: list[VehiclePhoto], volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).post(f"/crew/repairs/RO-9999/photos/{photos[0].pk}/take-out/")
    assert answer.status_code == 404
    assert not TrailLine.objects.filter(action="photo.take_out").exists()


def test_enter_in_a_box_finishes_nothing_and_takes_nothing_out(
    repair: RepairOrder, photos: list[VehiclePhoto], volunteer: Person, client_for: SignIn
) -> None:
    """A browser presses the first button of a form when Enter is hit in one of its boxes."""
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    form = page.split('class="form door"')[1]
    first = form.split("<button", 1)[1].split(">")[0]
    assert 'name="act" value="keep"' in first
