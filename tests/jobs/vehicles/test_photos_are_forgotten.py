from datetime import date

import pytest

from fund import clock
from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from jobs.households.actions_keep import forget_households
from jobs.intake.actions import mark_helped
from jobs.repairs.actions_steps import cancel
from jobs.vehicles.actions_checkin import add_photo
from jobs.vehicles.queries_checkin import check_in_of
from tests.jobs.workshop import checked_in, eligible, four_photos

pytestmark = pytest.mark.django_db
LONG_AFTER = date(2046, 1, 1)


def test_photos_and_the_owners_name_go_with_the_file_of_the_household(
    screener: Person, volunteer: Person
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    files = [file_of(photo.attachment) for photo in repair.photos.all()]
    assert all(file.is_file() for file in files)
    cancel(by=volunteer, repair=repair, reason="sold")
    mark_helped(by=volunteer, application=repair.application)
    with clock.at(LONG_AFTER):
        lines = forget_households(by=None)
    assert any(line.counts.get("photos of vehicles") == 4 for line in lines)
    assert not any(file.exists() for file in files)
    assert {photo.gone_on for photo in repair.photos.all()} == {LONG_AFTER}
    check_in = check_in_of(repair)
    assert check_in is not None
    assert (check_in.signed_by, check_in.photos, check_in.mileage) == ("", 4, 148_000)
    assert set(Attachment.objects.filter(subject=repair.number).values_list("name", flat=True)) == {""}


def test_a_picture_that_another_record_shows_too_stays(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener))
    cancel(by=volunteer, repair=repair, reason="sold")
    mark_helped(by=volunteer, application=repair.application)
    with clock.at(LONG_AFTER):
        later = checked_in(volunteer, eligible(screener, "Later"))
        shared = add_photo(by=volunteer, repair=later, upload=four_photos()[0])
        forget_households(by=None)
        assert file_of(shared.attachment).is_file()
        assert not repair.photos.filter(gone_on=None).exists()
        assert later.photos.filter(gone_on=None).count() == 4
