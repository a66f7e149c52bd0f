"""What stands between a repair and its hand-back, besides test and check list."""

from collections.abc import Callable

import pytest

from fund.access.models import Person
from fund.refusal import NotReady
from jobs.eligibility.queries_file import ELEMENTS
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import RoadTest
from jobs.handback.queries import what_is_missing
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY

Drive = Callable[..., RoadTest]
Make = Callable[..., RepairOrder]


def lacks(repair: RepairOrder) -> list[tuple[str, str]]:
    return [(lack.text, lack.page) for lack in what_is_missing(repair)]


def test_a_whole_file_a_list_and_a_test_are_enough(repair: RepairOrder, drive: Drive) -> None:
    drive(repair)
    assert lacks(repair) == []


def test_the_keys_stay_while_the_household_file_lacks_one_of_its_eight_elements(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    """The eight elements are those of the US Internal Revenue Service's guide to documenting aid to individuals."""
    assert len(ELEMENTS) == 8
    drive(repair)
    Application.objects.filter(pk=repair.application_id).update(need="")
    repair.refresh_from_db()
    assert lacks(repair) == [
        ("The household's file does not have: purpose for which it was given.", "eligibility:file")
    ]
    with pytest.raises(NotReady, match="cannot be handed back yet") as refusal:
        hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    assert refusal.value.details == ["The household's file does not have: purpose for which it was given."]


def test_a_tie_nobody_asked_about_leads_to_the_question(repair: RepairOrder, drive: Drive) -> None:
    drive(repair)
    repair.relations.all().delete()
    assert (
        "The household's file does not have: relationships to the crew and to large supporters.",
        "approvals:tie",
    ) in lacks(repair)


def test_a_correction_is_written_before_the_keys_go_back(repair: RepairOrder, drive: Drive) -> None:
    drive(repair)
    RepairOrder.objects.filter(pk=repair.pk).update(correction=" ")
    repair.refresh_from_db()
    assert lacks(repair) == [
        ("The correction is not written: what was done, and how it was proved.", "repairs:correction")
    ]


@pytest.mark.parametrize(
    ("words", "refused"), [("Fixed the stall", True), ("Cleaned the plug of the sensor", False)]
)
def test_what_could_not_be_duplicated_is_never_called_fixed(
    make_repair: Make, drive: Drive, words: str, refused: bool
) -> None:
    repair = make_repair(intermittent=True, owner_minutes_to_failure=10)
    drive(repair, result="could not duplicate", note="20 min town, warm")
    RepairOrder.objects.filter(pk=repair.pk).update(correction=words)
    repair.refresh_from_db()
    found = ("The fault could not be duplicated, so the correction cannot say “fixed”.", "repairs:correction")
    assert (found in lacks(repair)) is refused


def test_a_repair_with_no_proof_at_all_is_told_every_step(repair: RepairOrder) -> None:
    pages = [page for _, page in lacks(repair)]
    assert pages[:2] == ["handback:road-test", "handback:check-list"]
