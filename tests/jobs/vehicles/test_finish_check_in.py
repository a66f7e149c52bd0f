from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction

from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from jobs.repairs.actions import open_repair, set_failure_point
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_checkin import add_photo, finish_check_in, keep_check_in
from jobs.vehicles.models_checkin import CheckIn, CheckInDraft
from jobs.vehicles.queries_checkin import check_in_of, draft_of, photos_of
from jobs.vehicles.rules_checkin import CheckInFacts
from tests.fund.attachments.makers import pdf, photo
from tests.jobs.workshop import eligible, four_photos

pytestmark = pytest.mark.django_db


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="sedan", mileage=148_000
    )
    return open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Grinds")


def told(**more: Any) -> CheckInFacts:
    whole = {"mileage": 148_210, "lights": "ABS", "signed_by": "Ada Quill", "signed": True}
    return CheckInFacts(**{**whole, **more})


def test_a_whole_check_in_is_kept_with_all_that_was_seen(repair: RepairOrder, volunteer: Person) -> None:
    facts = told(
        fuel="half", codes_state="read", codes="P0301 misfire", freeze_frame="rpm 2,140, coolant 194 F",
        zones=("hood", "left_rear"), damage="Dent, rust below it", earlier_work="Caliper pin fitted dry", keys=2,
        valuables_out=True, vin_compared=True, unsafe=("brakes",), unsafe_words="Do not drive it home",
    )  # fmt: skip
    finish_check_in(by=volunteer, repair=repair, facts=facts, photos=four_photos())
    row = check_in_of(RepairOrder.objects.get(pk=repair.pk))
    assert row is not None
    assert (row.mileage, row.lights, row.codes, row.freeze_frame) == (
        148_210, "ABS", "P0301 misfire", "rpm 2,140, coolant 194 F",
    )  # fmt: skip
    assert (row.zones, row.earlier_work, row.unsafe, row.signed_by, row.photos) == (
        ["hood", "left_rear"], "Caliper pin fitted dry", ["brakes"], "Ada Quill", 4,
    )  # fmt: skip
    assert TrailLine.objects.filter(action="check_in.finish", subject=repair.number).count() == 1


def test_repair_and_vehicle_learn_the_mileage(repair: RepairOrder, volunteer: Person) -> None:
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos())
    again = RepairOrder.objects.select_related("vehicle").get(pk=repair.pk)
    assert (again.mileage_in, again.vehicle.mileage) == (148_210, 148_210)


@pytest.mark.parametrize(
    ("lack", "sentence"),
    [
        ({"mileage": None}, "Write the mileage"),
        ({"lights": " "}, "which dash lights stay on"),
        ({"signed_by": ""}, "signs with their name"),
        ({"signed": False}, "The owner ticks"),
        ({"signed_by": "", "signed": False}, "signs with their name and the tick, or draws"),
        ({"drawn": [[300, 120]]}, "nearly empty"),
        ({"drawn": [[300, 120, 900, 120]]}, "did not arrive whole"),
        ({"codes_state": "read"}, "codes that were read, before anything is cleared"),
        ({"no_lights": True}, "Choose one"),
        ({"codes_state": "none", "codes": "P0301"}, "Choose one"),
        ({"minutes": 25}, "tick that it comes and goes"),
        ({"mileage": 14_821}, "148,000 miles before"),
        ({"zones": ("spoiler",)}, "not on the list"),
        ({"unsafe": ("paint",)}, "not on the list"),
    ],
)
def test_it_cannot_be_finished_with_that(
    repair: RepairOrder, volunteer: Person, lack: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        finish_check_in(by=volunteer, repair=repair, facts=told(**lack), photos=four_photos())
    assert check_in_of(repair) is None
    assert not Attachment.objects.exists()


def test_it_cannot_be_finished_without_photos(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="Take 4 photos or more; there are 3"):
        finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos()[:3])


def test_the_same_photo_sent_four_times_is_one(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="there is 1"):
        finish_check_in(
            by=volunteer, repair=repair, facts=told(), photos=[four_photos()[0] for _ in range(4)]
        )


def test_the_owner_of_the_fund_sets_how_many_photos(
    repair: RepairOrder, owner: Person, volunteer: Person
) -> None:
    set_rule(by=owner, name="check_in_photos", value="1", valid_from=repair.opened_on, reason="small shop")
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos()[:1])


def test_everything_that_lacks_is_named_at_once(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput) as refusal:
        finish_check_in(by=volunteer, repair=repair, facts=CheckInFacts())
    assert len(refusal.value.details) == 4


def test_the_owners_figures_reach_the_road_test(repair: RepairOrder, volunteer: Person) -> None:
    facts = told(intermittent=True, minutes=25, miles=12, told={"when": "hot", "where": ""})
    finish_check_in(by=volunteer, repair=repair, facts=facts, photos=four_photos())
    again = RepairOrder.objects.get(pk=repair.pk)
    figures = (again.intermittent, again.owner_minutes_to_failure, again.owner_miles_to_failure)
    assert figures == (True, 25, 12)
    assert again.check_in.told == {"when": "hot"}


def test_figures_told_before_stay_when_the_check_in_names_none(
    repair: RepairOrder, volunteer: Person
) -> None:
    set_failure_point(by=volunteer, repair=repair, minutes=40)
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos())
    again = RepairOrder.objects.get(pk=repair.pk)
    assert (again.intermittent, again.owner_minutes_to_failure) == (True, 40)


def test_a_finished_check_in_is_never_written_again(repair: RepairOrder, volunteer: Person) -> None:
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos())
    with pytest.raises(AlreadyDone, match="checked in and signed"):
        finish_check_in(by=volunteer, repair=repair, facts=told(mileage=148_300))
    with pytest.raises(AlreadyDone):
        keep_check_in(by=volunteer, repair=repair, typed={})
    with pytest.raises(DatabaseError), transaction.atomic():
        CheckIn.objects.update(damage="none")
    with pytest.raises(DatabaseError), transaction.atomic():
        CheckIn.objects.all().delete()


def test_a_draft_is_kept_sealed_and_goes_when_the_check_in_is_finished(
    repair: RepairOrder, volunteer: Person
) -> None:
    keep_check_in(by=volunteer, repair=repair, typed={"mileage": "148", "signed_by": "Ada Quill"})
    keep_check_in(by=volunteer, repair=repair, typed={"mileage": "148210", "signed_by": "Ada Quill"})
    assert draft_of(repair)["mileage"] == "148210"
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos())
    assert not CheckInDraft.objects.exists()


def test_photos_taken_before_and_after_are_told_apart(repair: RepairOrder, volunteer: Person) -> None:
    first, *rest = four_photos()
    add_photo(by=volunteer, repair=repair, upload=first)
    finish_check_in(by=volunteer, repair=repair, facts=told(), photos=rest)
    add_photo(
        by=volunteer,
        repair=repair,
        upload=SimpleUploadedFile("pads.png", photo("PNG", (20, 20))),
        words="Worn pads",
    )
    assert [row.at_check_in for row in photos_of(repair)] == [True] * 4 + [False]
    assert {row.attachment.power for row in photos_of(repair)} == {"repair.see"}


def test_a_paper_is_no_photo_of_a_vehicle(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="is no photo"):
        add_photo(by=volunteer, repair=repair, upload=SimpleUploadedFile("title.pdf", pdf()))
    assert not Attachment.objects.exists()


def test_only_hands_of_the_shop_check_in_and_only_what_is_open(
    repair: RepairOrder, treasurer: Person, volunteer: Person
) -> None:
    with pytest.raises(NotAllowed):
        finish_check_in(by=treasurer, repair=repair, facts=told(), photos=four_photos())
    cancel(by=volunteer, repair=repair, reason="sold")
    with pytest.raises(NotReady):
        finish_check_in(by=volunteer, repair=repair, facts=told(), photos=four_photos())
    with pytest.raises(NotReady):
        add_photo(by=volunteer, repair=repair, upload=four_photos()[0])
