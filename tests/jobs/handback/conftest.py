from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import Receipt
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from jobs.approvals.actions import approve
from jobs.handback.actions import record_road_test
from jobs.handback.actions_proof import record_check_list
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import CheckList
from jobs.handback.queries import did_the_work
from jobs.handback.queries_proof import lines_asked
from jobs.handback.rules import SAFETY_LINES
from jobs.handback.rules_proof import CheckLine
from jobs.repairs.actions import set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import money_in_bank, ready

TODAY = date(2026, 3, 15)
EVERY_LINE = {name: True for name, _ in SAFETY_LINES}


@pytest.fixture
def make_repair(
    owner: Person, treasurer: Person, screener: Person, volunteer: Person
) -> Callable[..., RepairOrder]:
    """A repair in the bay since today, Mar 15, by Tavi; further facts as ``open_repair`` takes them."""

    def build(**facts: Any) -> RepairOrder:
        money_in_bank(treasurer, 5_000_00)
        order = ready(screener, volunteer, owner, mechanic=volunteer, job_type="brakes", **facts)
        approve(by=owner, repair=order)
        start_work(by=volunteer, repair=order)
        return set_correction(by=volunteer, repair=order, correction="Replaced front pads and rotors")

    return build


@pytest.fixture
def repair(make_repair: Callable[..., RepairOrder]) -> RepairOrder:
    return make_repair()


def pads(volunteer: Person, repair: RepairOrder) -> ReceiptInput:
    """Pads and rotors 168.40 with tax 13.89: 182.29, of which 182.29 on the repair."""
    line = LineInput(
        "front pads and rotors", Money(168_40), [PortionInput("part", repair.cost_object_id)], condition="new"
    )
    return ReceiptInput(
        store="Gantry Parts", number="4471", on=TODAY, total=Money(182_29), tax=Money(13_89),
        tender="own_money", buyer=volunteer, lines=[line],
    )  # fmt: skip


@pytest.fixture
def receipt(volunteer: Person, repair: RepairOrder) -> Receipt:
    return post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=pads(volunteer, repair)))


def look_over(by: Person, repair: RepairOrder, on: date = TODAY) -> CheckList:
    """Go through the check list, yes everywhere."""
    lines = [CheckLine(text, "yes") for text in lines_asked(repair)]
    return record_check_list(by=by, repair=repair, on=on, lines=lines)


@pytest.fixture
def drive(volunteer: Person, volunteer2: Person) -> Callable[..., RoadTest]:
    """Record a road test: 8 miles in 20 minutes, all well, driven by Tavi, signed by Jun, unless said otherwise.

    Jun goes through the check list too, unless ``listed`` is false.
    """

    def record(repair: RepairOrder, *, listed: bool = True, **facts: Any) -> RoadTest:
        usual: dict[str, Any] = {
            "by": volunteer2,
            "on": TODAY,
            "driver": volunteer,
            "odometer_out": 148_002,
            "odometer_in": 148_010,
            "minutes": 20,
            "route": "town",
            "safety": EVERY_LINE,
            "complaint_returned": False,
            "result": "pass",
        }
        test = record_road_test(repair=repair, **(usual | facts))
        if listed and volunteer2.pk not in did_the_work(repair):
            look_over(volunteer2, repair, facts.get("on", TODAY))
        return test

    return record
