"""What a household told about its repair goes with its file; what the books need stays."""

import io
from collections.abc import Callable
from datetime import date

import pypdf
import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.receipts.models import Receipt
from jobs.approvals.models import Approval
from jobs.handback.actions import Observed
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.proofs import hand_back_breaks
from jobs.households.actions_keep import forget_households
from jobs.households.rules_keep import FILE_HELPED
from jobs.intake.actions import mark_helped
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY
from tests.jobs.households.stored import everything_stored

pytestmark = pytest.mark.django_db
Drive = Callable[..., RoadTest]
WITH = "Hepzibah-Passenger"


@pytest.fixture
def tested(repair: RepairOrder, drive: Drive, volunteer: Person) -> RepairOrder:
    """Approved as it was told, driven with its owner beside the driver, and long done."""
    drive(repair, observed=Observed(passenger=WITH))
    mark_helped(by=volunteer, application=repair.application)
    RepairOrder.objects.filter(pk=repair.pk).update(state="handed back", handed_back_on=date(2026, 3, 15))
    repair.refresh_from_db()
    return repair


def test_complaint_and_passenger_are_forgotten_when_the_file_is_due_and_the_log_says_so(
    tested: RepairOrder, owner: Person
) -> None:
    before = Approval.objects.get(kind="approval")
    assert before.complaint == tested.complaint
    assert RoadTest.objects.get().passenger == WITH
    assert not forget_households(by=owner, on=date(2033, 3, 14))[-1].counts.get("complaints on repairs")
    lines = forget_households(by=owner, on=date(2033, 3, 15))
    assert [line.kept_class for line in lines] == [FILE_HELPED]
    counts = lines[0].counts
    assert (counts["complaints on repairs"], counts["road tests"], counts["approvals"]) == (1, 1, 1)
    tested.refresh_from_db()
    approval = Approval.objects.get(kind="approval")
    assert (tested.complaint, approval.complaint, RoadTest.objects.get().passenger) == ("", "", "")
    assert (approval.amount, approval.snapshot) == (before.amount, before.snapshot)
    assert approval.amount > Money.zero
    assert tested.cause
    assert tested.correction


def test_nothing_of_it_lies_readable_in_the_decision_or_the_road_test(
    tested: RepairOrder, volunteer: Person
) -> None:
    stored = everything_stored()
    assert WITH not in stored
    assert tested.complaint not in str(Approval.objects.get(kind="approval").snapshot)


def test_the_rest_of_a_decision_and_of_a_drive_stays_as_it_was_written(tested: RepairOrder) -> None:
    for rows, change in (
        (Approval.objects.all(), {"reason": "other"}),
        (RoadTest.objects.all(), {"note": "other"}),
    ):
        with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
            rows.update(**change)


def test_the_sheet_as_given_goes_with_the_words_and_is_drawn_anew_from_its_figures(
    repair: RepairOrder,
    receipt: Receipt,
    drive: Drive,
    volunteer: Person,
    owner: Person,
    client_for: Callable[[Person], Client],
) -> None:
    drive(repair)
    given = hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    told = repair.complaint
    assert told in text_of(bytes(given.sheet))
    assert told not in str(given.snapshot)
    forget_households(by=owner, on=date(2033, 3, 15))
    row = HandBack.objects.get()
    assert (bytes(row.sheet), row.complaint) == (b"", "")
    assert (row.snapshot, row.sheet_sha256) == (given.snapshot, given.sheet_sha256)
    drawn = text_of(client_for(owner).get(f"/crew/repairs/{repair.number}/sheet.pdf").content)
    assert told not in drawn
    assert "the household's own words is over" in drawn
    assert "You owe $0.00" in drawn
    assert list(hand_back_breaks()) == []


def test_a_sheet_that_went_although_nobody_was_forgotten_is_named(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    HandBack.objects.update(sheet=b"")
    assert list(hand_back_breaks()) == [
        f"The hand-back sheet of {repair.number} is not the one that was given to the owner."
    ]


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join("\n".join(page.extract_text() for page in pages).replace("\u2019", "'").split())
