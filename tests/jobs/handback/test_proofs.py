"""check_books notices a hand-back sheet that is not the one that was given."""

from collections.abc import Callable
from typing import Any

from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.receipts.models import Receipt
from jobs.handback.actions_comeback import open_comeback
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.proofs import comeback_breaks, hand_back_breaks, proof_breaks
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY

Drive = Callable[..., RoadTest]
Make = Callable[..., RepairOrder]


def test_a_sheet_as_it_was_given_holds(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    assert list(hand_back_breaks()) == []


def test_another_sheet_and_other_figures_are_named(
    make_repair: Make, repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    """The guard refuses a change, so the wrong row is a new one written around the action."""
    drive(repair)
    row = hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    other = make_repair(name="Somebody else")
    facts = row.snapshot | {"cost": 1}
    HandBack.objects.create(
        repair=other, road_test=row.road_test, check_list=row.check_list, on=TODAY, at=row.at, odometer=1, by=volunteer,
        sheet=b"%PDF-another", sheet_sha256=row.sheet_sha256, snapshot=facts,
    )  # fmt: skip
    assert list(hand_back_breaks()) == [
        f"The hand-back sheet of {other.number} is not the one that was given to the owner.",
        f"The parts on the hand-back sheet of {other.number} do not add up to its cost.",
    ]


def test_a_hand_back_without_its_own_list_and_test_is_named(
    make_repair: Make, repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person
) -> None:
    drive(repair)
    row = hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    assert list(proof_breaks()) == []
    other = make_repair(name="Somebody else")
    usual: dict[str, Any] = {
        "check_list": row.check_list, "on": TODAY, "at": row.at, "odometer": 1, "by": volunteer, "sheet": b"",
        "sheet_sha256": "", "snapshot": {},
    }  # fmt: skip
    HandBack.objects.create(repair=other, road_test=None, **usual)
    assert list(proof_breaks()) == [
        f"{other.number} was handed back without a whole check list of its own.",
        f"{other.number} was handed back untested, and nobody signed a refusal.",
    ]


def test_a_comeback_with_a_part_booked_as_help_is_named(
    repair: RepairOrder, receipt: Receipt, drive: Drive, volunteer: Person, treasurer: Person
) -> None:
    """Booked by hand around the counter, which would refuse it."""
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    again = open_comeback(by=volunteer, original=repair, complaint="Grinds").repair
    assert list(comeback_breaks()) == []
    place = again.cost_object_id
    lines = [dr("5000", Money(9_00), cost_object=place), cr("2010", Money(9_00), party="tavi")]
    post(by=treasurer, draft=EntryDraft("receipt", TODAY, "around the counter", lines))
    assert list(comeback_breaks()) == [
        f"{again.number} is a comeback, but 9.00 of it stands on 5000 instead of 5060."
    ]
