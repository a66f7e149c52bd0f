"""Keys returned, and the sheet the household takes home."""

import hashlib
import io
from collections.abc import Callable
from datetime import date
from typing import Any

import pypdf
import pytest
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import Receipt
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.rules_proof import FluidDraft
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.actions_findings import add_finding, decide_finding
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.jobs.handback.conftest import TODAY, pads

Drive = Callable[..., RoadTest]
Make = Callable[..., RepairOrder]


def text_of(row: HandBack) -> str:
    reader = pypdf.PdfReader(io.BytesIO(bytes(row.sheet)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def back(repair: RepairOrder, by: Person, **facts: Any) -> HandBack:
    usual: dict[str, Any] = {"by": by, "repair": repair, "on": TODAY, "odometer": 148_010}
    return hand_back(**(usual | facts))


def test_hand_back_closes_the_repair_and_frees_the_rest_of_the_commitment(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    row = back(repair, volunteer)
    repair.refresh_from_db()
    assert (repair.state, repair.handed_back_on) == (State.HANDED_BACK, TODAY)
    assert open_for(repair.number) == Money.zero
    assert repair.application.__class__.objects.get(pk=repair.application_id).state == "helped"
    assert row.sheet_sha256 == hashlib.sha256(bytes(row.sheet)).hexdigest()


def test_the_sheet_says_what_was_done_what_it_cost_and_that_nothing_is_owed(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    mechanic = Skill.objects.get(code="mechanic")
    add_hours(by=volunteer, repair=repair, person=volunteer, on=TODAY, tenths=24, skill=mechanic)
    finding = add_finding(by=volunteer, repair=repair, text="Rear shocks weep")
    decide_finding(by=volunteer, finding=finding, decision="later")
    drive(repair)
    row = back(repair, volunteer, not_done="Air filter is old", care="Come by on Saturday")
    text = text_of(row)
    for words in (
        "You owe $0.00",
        "Grinds when braking",
        "Front pads down to metal, measured 1 mm",
        "Replaced front pads and rotors",
        "front pads and rotors new 182.29",
        "Paid by the fund 182.29",
        "The crew gave 2.4 hours.",
        "would have cost $69.14",
        "$28.81 an hour",
        "May 2023",
        "20 minutes, 8 miles",
        "Rear shocks weep (for later)",
        "Air filter is old",
        "Come by on Saturday",
        "wheel nuts torqued again after 50 to 100 miles",
        "The maker's own procedure",
        "Local codes apply",
    ):
        assert words in text, words
    assert row.snapshot["cost"] == 182_29


def test_the_sheet_is_one_tagged_page_with_a_title_a_language_and_its_own_fonts(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    """PDF/UA-1 (ISO 14289-1): tagged, titled, with a language, every font embedded."""
    drive(repair)
    reader = pypdf.PdfReader(io.BytesIO(bytes(back(repair, volunteer).sheet)))
    root: Any = reader.trailer["/Root"]
    assert len(reader.pages) == 1
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()
    assert reader.metadata is not None
    assert reader.metadata.title == "Hand-back sheet RO-0001"
    page: Any = reader.pages[0]
    for font in page["/Resources"]["/Font"].values():
        for part in font.get_object().get("/DescendantFonts", [font]):
            assert "/FontFile" in str(part.get_object()["/FontDescriptor"].get_object().keys())


def test_deposits_stand_apart_from_the_cost(repair: RepairOrder, drive: Drive, volunteer: Person) -> None:
    place = repair.cost_object_id
    lines = [
        LineInput("reman caliper", Money(100_00), [PortionInput("part", place)], condition="reman"),
        LineInput("core, caliper", Money(44_00), [PortionInput("core", place)], taxable=False),
    ]
    data = ReceiptInput(
        "Gantry Parts", "4472", TODAY, Money(144_00), Money.zero, "own_money", volunteer, lines
    )
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    drive(repair)
    row = back(repair, volunteer)
    assert row.snapshot["cost"] == 100_00
    assert [part["cost"] for part in row.snapshot["parts"]] == [100_00]
    assert row.snapshot["deposits"][0]["amount"] == 44_00
    assert "not part of the cost: core, caliper $44.00" in text_of(row)
    assert "remanufactured 100.00" in text_of(row)


def test_what_a_person_typed_is_never_markup(make_repair: Make, drive: Drive, volunteer: Person) -> None:
    repair = make_repair(complaint='#panic("x") *bold* $x$ <b> \\ "quotes" 漢 😀')
    drive(repair)
    assert '#panic("x") *bold* $x$ <b> \\ "quotes" [U+6F22] 😀' in text_of(back(repair, volunteer))


def test_without_a_road_test_nothing_goes_back(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(NotReady) as refusal:
        back(repair, volunteer)
    assert refusal.value.sentence == "RO-0001 cannot be handed back yet."
    assert "There is no road test yet. Drive it and record the test." in refusal.value.details


def test_a_failed_last_test_keeps_the_keys(repair: RepairOrder, drive: Drive, volunteer: Person) -> None:
    drive(repair)
    drive(repair, result="fail", note="still grinds", complaint_returned=True)
    with pytest.raises(NotReady) as refusal:
        back(repair, volunteer)
    assert "The last road test failed. Put it right and drive again." in refusal.value.details


def test_work_after_the_road_test_asks_for_another_drive(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    helper = Skill.objects.get(code="helper")
    with clock.at(date(2026, 3, 16)):
        add_hours(by=volunteer, repair=repair, person=volunteer, on=date(2026, 3, 16), tenths=5, skill=helper)
        with pytest.raises(NotReady) as refusal:
            back(repair, volunteer, on=date(2026, 3, 16))
        assert "Done after the road test: Work of Mar 16, 2026. Drive it again." in refusal.value.details
        drive(repair, on=date(2026, 3, 16))
        assert back(repair, volunteer, on=date(2026, 3, 16)).pk


def test_a_draft_receipt_keeps_the_keys(repair: RepairOrder, drive: Drive, volunteer: Person) -> None:
    draft = save_draft(by=volunteer, data=pads(volunteer, repair))
    drive(repair)
    with pytest.raises(NotReady) as refusal:
        back(repair, volunteer)
    assert refusal.value.details == [
        f"Receipt {draft.code} is still a draft. Post it, so that the cost on the sheet is whole."
    ]


def test_a_fault_that_could_not_be_duplicated_goes_back_only_with_the_owners_word(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair, result="could not duplicate", note="20 min town, 85 F")
    with pytest.raises(NotReady) as refusal:
        back(repair, volunteer)
    assert "could not be duplicated" in refusal.value.details[0]
    text = text_of(back(repair, volunteer, owner_agrees=True))
    assert "Could not duplicate; conditions tested: 20 min town, 85 F" in text
    assert "Passed" not in text


def test_the_odometer_cannot_be_lower_than_after_the_test(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    with pytest.raises(NotReady) as refusal:
        back(repair, volunteer, odometer=148_009)
    assert refusal.value.details == [
        "The odometer stood at 148,010 after the road test; it cannot be lower now."
    ]


def test_a_day_to_come_is_refused(repair: RepairOrder, drive: Drive, volunteer: Person) -> None:
    drive(repair)
    with pytest.raises(BadInput, match="has not come yet"):
        back(repair, volunteer, on=date(2026, 3, 16))


def test_a_second_hand_back_is_told(repair: RepairOrder, drive: Drive, volunteer: Person) -> None:
    drive(repair)
    back(repair, volunteer)
    with pytest.raises(AlreadyDone, match="was already handed back"):
        back(repair, volunteer)


def test_only_volunteers_and_owners_hand_back(repair: RepairOrder, drive: Drive, treasurer: Person) -> None:
    drive(repair)
    with pytest.raises(NotAllowed):
        back(repair, treasurer)


def test_after_hand_back_only_rechecks_comebacks_and_office_hours_are_taken(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    helper = Skill.objects.get(code="helper")
    drive(repair)
    back(repair, volunteer)
    repair.refresh_from_db()
    later = date(2026, 3, 20)
    with clock.at(later):
        with pytest.raises(BadInput, match="was handed back on Mar 15, 2026"):
            add_hours(by=volunteer, repair=repair, person=volunteer, on=later, tenths=5, skill=helper)
        for work in ("recheck", "comeback", "office"):
            row = add_hours(
                by=volunteer, repair=repair, person=volunteer, on=later, tenths=5, skill=helper, work=work
            )
            assert row.work == work


def test_the_database_refuses_to_change_a_hand_back(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    back(repair, volunteer)
    for sql in ("UPDATE jobs_handback SET odometer = 1", "DELETE FROM jobs_handback"):
        with (
            pytest.raises(DatabaseError, match="what is written stays"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(sql)


def test_a_part_of_a_line_says_how_much_of_it_went_into_the_repair(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    """12 quarts for 113.88 with tax 9.39; 9 quarts in the repair are 92.45, 3 quarts (30.82) on the shelf."""
    portions = [PortionInput("fluid", repair.cost_object_id, 9000), PortionInput("shelf")]
    lines = [LineInput("coolant", Money(113_88), portions, quantity=12_000, unit="quart", condition="new")]
    data = ReceiptInput(
        "Gantry Parts", "4473", TODAY, Money(123_27), Money(9_39), "own_money", volunteer, lines
    )
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    drive(repair, fluids=[FluidDraft("coolant", "later", put_in=9000, out=8500)])
    text = text_of(back(repair, volunteer))
    assert "coolant: 9 quarts of it new 92.45" in text
    assert "Coolant: 8.5 out, 9 quarts in; level read cold tomorrow" in text
