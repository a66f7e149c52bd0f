"""Fluids read again after the drive, and codes before, cleared and after."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.access.models import Person
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.models import ShelfLot
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import BadInput
from jobs.handback.actions import Observed
from jobs.handback.models import RoadTest
from jobs.handback.queries_proof import as_drafts, fluids_charged
from jobs.handback.rules_proof import (
    FluidDraft,
    code_refusals,
    codes_in,
    fluid_refusals,
    fluid_warnings,
    in_vehicle,
)
from jobs.repairs.models import RepairOrder
from tests.jobs.handback.conftest import TODAY

Drive = Callable[..., RoadTest]
HOT = FluidDraft("transmission", "at mark", put_in=8000, added=1000, out=9000, temp_f=180)


def buy(volunteer: Person, repair: RepairOrder, used: int, unit: str = "quart", bought: int = 12_000) -> None:
    portions = [PortionInput("fluid", repair.cost_object_id, used), PortionInput("shelf")]
    line = LineInput(
        "transmission fluid", Money(118_80), portions, quantity=bought, unit=unit, condition="new"
    )
    data = ReceiptInput(
        "Gantry Parts", "77", TODAY, Money(118_80), Money.zero, "own_money", volunteer, [line]
    )
    post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data))


def test_a_repair_charged_with_a_fluid_is_not_passed_without_its_level_after_the_drive(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    buy(volunteer, repair, 8000)
    with pytest.raises(BadInput, match="Transmission fluid is in the cost of this repair"):
        drive(repair)
    drive(repair, result="fail", note="stopped at the gate")
    drive(repair, fluids=[FluidDraft("transmission", "at mark", put_in=8000, out=8000, temp_f=180)])


def test_the_quart_added_after_the_drive_is_taken_from_the_shelf_and_then_the_fluids_tie(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    """Bought 12, put in 8, topped up 1: the job carries 9 of them. Common practice on deep pans; no source."""
    buy(volunteer, repair, 8000)
    test = drive(repair, fluids=[HOT])
    drafts = as_drafts(test.fluids.all())
    assert (in_vehicle(drafts), fluids_charged(repair)) == (9000, 8000)
    assert fluid_warnings(drafts, fluids_charged(repair)) == [
        "9 quarts went in; 8 are in the cost. Take 1 more from the shelf for this repair, or correct the receipt."
    ]
    issue_from_shelf(
        by=volunteer,
        lot=ShelfLot.objects.get(),
        quantity=1000,
        on=TODAY,
        cost_object=repair.number,
        home="fluid",
    )
    assert fluids_charged(repair) == 9000
    assert fluid_warnings(drafts, 9000) == []


def test_gallons_and_ounces_are_told_in_quarts(repair: RepairOrder, volunteer: Person) -> None:
    """4 quarts to the gallon, 32 ounces to the quart (NIST Handbook 44, Appendix C)."""
    buy(volunteer, repair, 2000, unit="gallon")
    assert fluids_charged(repair) == 8000


@pytest.mark.parametrize(
    ("drafts", "sentence"),
    [
        ([FluidDraft("transmission", "high", put_in=9000)], "Transmission fluid is high after the drive"),
        ([FluidDraft("engine oil", "low", put_in=5000)], "Engine oil is low after the drive"),
        ([FluidDraft("transmission", "later", put_in=9000)], "only coolant waits until it is cold"),
        ([FluidDraft("coolant", "", put_in=9000)], "say how the level stands"),
        ([HOT, HOT], "stands there twice"),
        ([], "A fluid is in the cost"),
    ],
)
def test_levels_that_speak_against_a_pass(drafts: list[FluidDraft], sentence: str) -> None:
    assert sentence in " ".join(fluid_refusals(drafts, fluids_in_cost=True, passing=True))


def test_coolant_may_be_read_cold_the_next_day_and_a_failed_test_may_say_low() -> None:
    assert (
        fluid_refusals([FluidDraft("coolant", "later", put_in=9000)], fluids_in_cost=True, passing=True) == []
    )
    low = [FluidDraft("coolant", "low", put_in=9000)]
    assert fluid_refusals(low, fluids_in_cost=True, passing=False) == []


@given(put_in=st.integers(0, 20_000), added=st.integers(0, 3_000))
def test_fluids_tie_exactly_when_what_went_in_is_what_was_charged(put_in: int, added: int) -> None:
    draft = FluidDraft("coolant", "at mark", put_in=put_in, added=added)
    assert fluid_warnings([draft], put_in + added) == []
    assert len(fluid_warnings([draft], put_in + added + 500)) == 1


def test_much_more_in_than_out_is_asked_about() -> None:
    odd = FluidDraft("transmission", "at mark", put_in=9000, out=5000)
    assert fluid_warnings([odd], 9000) == [
        "Transmission fluid: 5 quarts came out, 9 went in. Is the level really right?"
    ]


def test_codes_are_found_in_what_was_typed() -> None:
    assert codes_in("p0301, U0100 (P0301 pending); freeze frame at 2,100 rpm") == ["P0301", "U0100"]
    assert codes_in("none stored") == []


def test_a_cleared_code_that_is_back_is_no_pass_and_no_could_not_duplicate(
    repair: RepairOrder, drive: Drive
) -> None:
    seen = Observed(codes_before="P0301", codes_cleared="P0301", codes_pending="P0301", readiness="not ready")
    for result in ("pass", "could not duplicate"):
        with pytest.raises(BadInput, match="P0301 was cleared and is back. The fault is not repaired."):
            drive(repair, observed=seen, result=result, note="town, warm")


def test_after_clearing_somebody_reads_the_monitors(repair: RepairOrder, drive: Drive) -> None:
    with pytest.raises(BadInput, match="Codes were cleared, which erases the monitors"):
        drive(repair, observed=Observed(codes_cleared="P0301"))
    seen = Observed(codes_cleared="P0301", readiness="not ready", monitors="catalyst, evaporative")
    assert drive(repair, observed=seen).monitors == "catalyst, evaporative"


def test_codes_that_were_there_before_and_not_cleared_do_not_stop_a_pass() -> None:
    assert code_refusals(cleared="", pending="P0420", readiness="not read") == []
