"""A repair that did not hold: linked, booked apart, counted apart, and never a further household helped."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfLot
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import AlreadyDone, BadInput, NotReady, TwoPeopleNeeded
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.queries_file import repairs_given
from jobs.estimates.actions import set_estimate
from jobs.handback.actions_comeback import begin_comeback, decide_fault, open_comeback
from jobs.handback.actions_handback import hand_back
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import Comeback
from jobs.handback.queries_proof import comeback_rate
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.repairs.actions import set_cause, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from reports.month.queries_jobs import counts_of_month
from tests.jobs.handback.conftest import TODAY, look_over
from tests.jobs.workshop import owner_says_yes, part, walked_round

Drive = Callable[..., RoadTest]
DAY_20 = date(2026, 4, 4)


@pytest.fixture
def given(repair: RepairOrder, drive: Drive, volunteer: Person) -> RepairOrder:
    """Handed back on Mar 15 at 148,010 miles, by Tavi."""
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    repair.refresh_from_db()
    return repair


def came_back(by: Person, original: RepairOrder, **facts: Any) -> Comeback:
    usual: dict[str, Any] = {"complaint": "Grinds again since yesterday", "mileage_in": 148_700}
    row = open_comeback(by=by, original=original, on=DAY_20, **(usual | facts))
    walked_round(by, row.repair)
    return row


def test_a_comeback_cannot_have_fewer_miles_than_it_went_back_with(
    given: RepairOrder, volunteer: Person
) -> None:
    assert given.vehicle.mileage == 148_010
    with clock.at(DAY_20):
        row = open_comeback(by=volunteer, original=given, complaint="Grinds again", on=DAY_20)
        with pytest.raises(BadInput, match="had 148,010 miles before; 148,005 cannot be right"):
            walked_round(volunteer, row.repair, mileage=148_005)


def test_comeback_hours_belong_to_what_was_handed_back_or_to_the_comeback_itself(
    given: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    helper = Skill.objects.get(code="helper")
    with clock.at(DAY_20):
        again = came_back(volunteer, given).repair
        for repair in (given, again):
            usual: dict[str, Any] = {"repair": repair, "person": volunteer2, "tenths": 5, "skill": helper}
            assert add_hours(by=volunteer2, on=DAY_20, work="comeback", **usual).pk
            with pytest.raises(BadInput, match="would be before that"):
                add_hours(by=volunteer2, on=date(2026, 3, 14), work="comeback", **usual)
        with pytest.raises(BadInput, match="The vehicle was not handed back, and a recheck"):
            add_hours(by=volunteer2, on=DAY_20, work="recheck", **usual)


def lines_of(entry: Entry) -> list[tuple[str, str, str | None, int]]:
    rows = entry.lines.order_by("ordinal")
    return [(row.account_id, row.purpose_id, row.cost_object_id, row.amount.minor) for row in rows]


def bought(by: Person, repair: RepairOrder, home: str) -> ReceiptInput:
    line = LineInput("front pads", Money(54_99), [PortionInput(home, repair.cost_object_id)], condition="new")
    return ReceiptInput(
        store="Gantry Parts", number="4519", on=DAY_20, total=Money(59_53), tax=Money(4_54),
        tender="own_money", buyer=by, lines=[line],
    )  # fmt: skip


def priced_and_approved(row: Comeback, volunteer: Person, owner: Person) -> RepairOrder:
    again = set_cause(by=volunteer, repair=row.repair, cause="Pads glazed; slide pin seized")
    set_estimate(by=volunteer, repair=again, lines=part(60_00, "front pads"))
    owner_says_yes(volunteer, again)
    for person in (volunteer, owner):
        answer_relation(by=person, repair=again, tie=False)
    approve(by=owner, repair=again)
    return start_work(by=volunteer, repair=again)


def test_a_comeback_on_day_20_is_linked_and_its_parts_are_booked_on_redo_parts_not_on_help(
    given: RepairOrder, drive: Drive, owner: Person, volunteer: Person, volunteer2: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given)
        again = priced_and_approved(row, volunteer, owner)
        draft = save_draft(by=volunteer, data=bought(volunteer, again, "part"))
        with pytest.raises(BadInput, match="RO-0002 is a comeback. Choose “a comeback: part bought again”"):
            post_receipt(by=volunteer, receipt=draft)
        draft = save_draft(by=volunteer, data=bought(volunteer, again, "comeback"), receipt=draft)
        paper = post_receipt(by=volunteer, receipt=draft)
        entry = Entry.objects.get(source=paper.code)
        assert lines_of(entry) == [
            ("5060", "general", "RO-0002", 59_53),
            ("2010", "general", None, -59_53),
        ]
        again = set_correction(by=volunteer, repair=again, correction="Pads replaced, pin freed and greased")
        drive(again, on=DAY_20, odometer_out=148_702, odometer_in=148_711)
        hand_back(by=volunteer2, repair=again, on=DAY_20, odometer=148_711)
    assert (row.original, row.repair.household_id) == (given, given.household_id)
    assert counts_of_month("2026-03").helped == 1
    april = counts_of_month("2026-04")
    assert (april.helped, april.comebacks) == (0, 1)
    assert [file.number for file in repairs_given()] == ["RO-0001"]
    assert comeback_rate(TODAY, DAY_20).words == "100.0%"


def test_redo_parts_from_the_shelf_are_booked_apart_too(
    given: RepairOrder, owner: Person, volunteer: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given)
        again = priced_and_approved(row, volunteer, owner)
        line = LineInput("brake fluid", Money(8_00), [PortionInput("shelf")], unit="quart", condition="new")
        data = ReceiptInput(
            "Gantry Parts", "4520", DAY_20, Money(8_00), Money.zero, "own_money", volunteer, [line]
        )
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
        lot = ShelfLot.objects.get()
        take: dict[str, Any] = {"lot": lot, "quantity": 1000, "on": DAY_20, "cost_object": again.number}
        with pytest.raises(BadInput, match="is a comeback"):
            issue_from_shelf(by=volunteer, home="fluid", **take)
        taken = issue_from_shelf(by=volunteer, home="comeback", **take)
        assert taken[0].entry is not None
        assert lines_of(taken[0].entry) == [
            ("5060", "general", "RO-0002", 8_00),
            ("1200", "general", None, -8_00),
        ]


def test_a_comeback_needs_no_new_decision_long_after_the_first_ran_out(
    given: RepairOrder, owner: Person, volunteer: Person
) -> None:
    later = date(2026, 9, 1)
    with clock.at(later):
        row = open_comeback(by=volunteer, original=given, complaint="Grinds again", on=later)
        walked_round(volunteer, row.repair, mileage=151_000)
        again = set_cause(by=volunteer, repair=row.repair, cause="Pads glazed")
        set_estimate(by=volunteer, repair=again, lines=part(60_00, "front pads"))
        for person in (volunteer, owner):
            answer_relation(by=person, repair=again, tie=False)
        assert approve(by=owner, repair=again).amount == Money(60_00)


def test_a_comeback_without_parts_goes_into_the_bay_once_it_is_checked_in_and_costs_nothing(
    given: RepairOrder, drive: Drive, volunteer: Person, volunteer2: Person
) -> None:
    with clock.at(DAY_20):
        row = open_comeback(by=volunteer, original=given, complaint="Squeaks", same=False, on=DAY_20)
        with pytest.raises(NotReady, match="is not checked in yet"):
            begin_comeback(by=volunteer, comeback=row)
        walked_round(volunteer, row.repair, mileage=148_300)
        again = begin_comeback(by=volunteer, comeback=row)
        again = set_cause(by=volunteer, repair=again, cause="Shim was left out")
        owner_says_yes(volunteer, again)
        again = set_correction(by=volunteer, repair=again, correction="Shim fitted")
        drive(again, on=DAY_20, odometer_out=148_300, odometer_in=148_306)
        sheet = hand_back(by=volunteer2, repair=again, on=DAY_20, odometer=148_306)
    assert sheet.snapshot["cost"] == 0
    assert counts_of_month("2026-04").helped == 0


def test_a_fault_that_is_not_the_crews_stops_as_diagnosed_and_is_counted_no_longer(
    given: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    """“Since you fixed the brakes it stalls”: half an hour of diagnosis, and maybe a new request."""
    mechanic = Skill.objects.get(code="mechanic")
    with clock.at(DAY_20):
        row = came_back(volunteer, given, complaint="Since you fixed the brakes it stalls")
        assert counts_of_month("2026-04").comebacks == 1
        again = set_cause(
            by=volunteer2, repair=row.repair, cause="Idle valve stuck; P0505 was stored at the first check-in"
        )
        add_hours(by=volunteer2, repair=again, person=volunteer2, on=DAY_20, tenths=5, skill=mechanic)
        decided = decide_fault(
            by=volunteer2,
            comeback=row,
            ours=False,
            reason="P0505 and the same photo of the throttle at check-in in March",
        )
    decided.repair.refresh_from_db()
    assert (decided.fault, decided.repair.state) == ("other", State.DIAGNOSED)
    assert decided.repair.stop_reason.startswith("Not from RO-0001: P0505")
    counts = counts_of_month("2026-04")
    assert (counts.helped, counts.comebacks) == (0, 0)
    assert decided.repair.hours.get().tenths == 5
    assert not Entry.objects.filter(lines__cost_object="RO-0002").exists()


def test_a_later_word_on_the_fault_does_not_change_a_month_that_was_told(
    given: RepairOrder, volunteer: Person, volunteer2: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given)
    with clock.at(date(2026, 5, 2)):
        decide_fault(by=volunteer2, comeback=row, ours=False, reason="Photos show another leak")
    assert counts_of_month("2026-04").comebacks == 1


def test_who_did_the_first_repair_does_not_say_whose_fault_it_is(
    given: RepairOrder, volunteer: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given)
        with pytest.raises(TwoPeopleNeeded, match="You worked on RO-0001"):
            decide_fault(by=volunteer, comeback=row, ours=True, reason="Looks like it")


def test_the_fault_is_decided_once_and_with_a_reason(
    given: RepairOrder, volunteer: Person, owner: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given)
        with pytest.raises(BadInput, match="photos and codes"):
            decide_fault(by=owner, comeback=row, ours=True, reason=" ")
        decide_fault(by=owner, comeback=row, ours=True, reason="Pin was dry")
        with pytest.raises(AlreadyDone):
            decide_fault(by=owner, comeback=row, ours=False, reason="or not")


def test_only_what_was_handed_back_can_come_back_and_not_twice_at_once(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    with pytest.raises(NotReady, match="Only a repair that was handed back can come back"):
        open_comeback(by=volunteer, original=repair, complaint="Grinds")
    drive(repair)
    hand_back(by=volunteer, repair=repair, on=TODAY, odometer=148_010)
    with pytest.raises(BadInput, match="was handed back on Mar 15, 2026"):
        open_comeback(by=volunteer, original=repair, complaint="Grinds", on=date(2026, 3, 14))
    with pytest.raises(BadInput, match="what the owner says now"):
        open_comeback(by=volunteer, original=repair, complaint=" ")
    open_comeback(by=volunteer, original=repair, complaint="Grinds")
    with pytest.raises(AlreadyDone, match="RO-0002 is already open"):
        open_comeback(by=volunteer, original=repair, complaint="Grinds")


def test_hours_of_a_comeback_on_the_first_order_still_count_as_one(
    given: RepairOrder, volunteer: Person
) -> None:
    """Half an hour in the yard needs no order of its own."""
    helper = Skill.objects.get(code="helper")
    with clock.at(DAY_20):
        add_hours(
            by=volunteer, repair=given, person=volunteer, on=DAY_20, tenths=5, skill=helper, work="comeback"
        )
    assert counts_of_month("2026-04").comebacks == 1


def test_the_check_list_of_a_comeback_is_gone_through_by_somebody_else(
    given: RepairOrder, volunteer: Person
) -> None:
    with clock.at(DAY_20):
        row = came_back(volunteer, given, mechanic=volunteer)
        begin_comeback(by=volunteer, comeback=row)
        with pytest.raises(TwoPeopleNeeded):
            look_over(volunteer, row.repair, DAY_20)
