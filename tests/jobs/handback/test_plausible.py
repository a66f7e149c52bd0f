"""Figures of a road test that cannot be true are read again before anybody signs them."""

from collections.abc import Callable
from typing import Any

import pytest

from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import BadInput
from jobs.handback.actions import Observed
from jobs.handback.models import RoadTest
from jobs.handback.rules_drive import Figures, implausible, yard_proves_nothing
from jobs.handback.rules_fluids import kinds_in, not_told
from jobs.handback.rules_proof import FluidDraft, code_refusals
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY

pytestmark = pytest.mark.django_db
Drive = Callable[..., RoadTest]


@pytest.mark.parametrize(
    ("figures", "says"),
    [
        (Figures(148_000, 148_010, 20, 148_000), ""),
        (Figures(100, 110, 20, 148_000), "148,000 at check-in; it cannot be at 100 now"),
        (Figures(148_000, 147_999, 20, 148_000), "it cannot be at 147,999 now"),
        (Figures(148_000, 153_000, 1, 148_000), "faster than 100 miles an hour"),
        (Figures(148_000, 148_101, 60, 148_000), ""),  # whole miles: it may have been a little over 100
        (Figures(148_000, 148_102, 60, 148_000), "faster than 100 miles an hour"),
        (Figures(0, 10, 20), ""),
    ],
)
def test_an_odometer_never_goes_back_and_nobody_drives_that_fast(figures: Figures, says: str) -> None:
    assert says in " ".join(implausible(figures))
    assert bool(implausible(figures)) is bool(says)


def test_a_changed_instrument_is_explained_in_the_note() -> None:
    assert implausible(Figures(100, 110, 20, 148_000), "Instrument changed, odometer began at 90") == []


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"odometer_out": 100, "odometer_in": 110}, "cannot be at 100"),
        ({"odometer_in": 153_002, "minutes": 1}, "not plausible"),
        ({"odometer_in": 153_002, "minutes": 1, "result": "fail", "note": "Still grinds"}, "not plausible"),
    ],
)
def test_such_a_test_is_not_signed(
    repair: RepairOrder, drive: Drive, facts: dict[str, Any], says: str
) -> None:
    with pytest.raises(BadInput, match="cannot be right") as refusal:
        drive(repair, **facts)
    assert says in " ".join(refusal.value.details)
    assert not repair.road_tests.exists()


def test_a_mile_in_the_yard_proves_nothing_about_a_fault_that_comes_and_goes(
    make_repair: Callable[..., RepairOrder], drive: Drive
) -> None:
    assert yard_proves_nothing("yard", intermittent=False, yard_only=False) == []
    repair = make_repair(intermittent=True, owner_miles_to_failure=1, owner_minutes_to_failure=1)
    with pytest.raises(BadInput, match="the yard does not show"):
        drive(repair, route="yard", odometer_in=148_004, minutes=2)


@pytest.mark.parametrize(
    ("cleared", "refused"),
    [("all codes cleared", True), ("P0301", True), ("none", False), ("-", False), ("", False)],
)
def test_whatever_was_cleared_the_monitors_are_read(cleared: str, refused: bool) -> None:
    assert bool(code_refusals(cleared=cleared, pending="", readiness="not read")) is refused
    assert code_refusals(cleared=cleared, pending="", readiness="ready") == []


def test_all_codes_cleared_with_unread_monitors_is_no_pass(repair: RepairOrder, drive: Drive) -> None:
    with pytest.raises(BadInput, match="Codes were cleared"):
        drive(repair, observed=Observed(codes_cleared="all codes cleared"))


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Motor oil 5W-30, 5 qt", ["engine oil"]),
        ("ATF multi-vehicle", ["transmission"]),
        ("transmission fluid", ["transmission"]),
        ("Antifreeze 50/50", ["coolant"]),
        ("Brake fluid DOT 4", ["brake"]),
        ("power steering fluid", ["steering"]),
        ("Gear oil 75W-90", ["axle"]),
        ("washer fluid", []),
    ],
)
def test_the_words_on_the_counter_tell_the_kind(text: str, kind: list[str]) -> None:
    assert kinds_in([text, text]) == kind


def test_each_kind_in_the_cost_is_told_about() -> None:
    coolant = [FluidDraft("coolant", "at mark", put_in=2000)]
    (only,) = not_told(["coolant", "engine oil"], coolant)
    assert only.startswith("Engine oil is in the cost of this repair.")
    assert not_told(["engine oil"], [FluidDraft("engine oil", "none")]) == []


def test_oil_in_the_cost_is_not_answered_with_a_line_about_coolant(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    line = LineInput(
        "engine oil 5W-30",
        Money(30_00),
        [PortionInput("fluid", repair.cost_object_id)],
        quantity=4000,
        unit="quart",
    )
    data = ReceiptInput(
        store="Gantry Parts", number="12", on=TODAY, total=Money(30_00), tax=Money.zero, tender="own_money",
        buyer=volunteer, lines=[line],
    )  # fmt: skip
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))
    coolant = FluidDraft("coolant", "at mark", put_in=1000)
    with pytest.raises(BadInput, match="Engine oil is in the cost"):
        drive(repair, fluids=[coolant])
    with pytest.raises(BadInput, match="either none of it went in"):
        drive(repair, fluids=[FluidDraft("engine oil", "none", put_in=4000)])
    assert drive(repair, fluids=[coolant, FluidDraft("engine oil", "none")]).fluids.count() == 2
