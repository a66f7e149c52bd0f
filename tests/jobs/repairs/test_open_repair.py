from datetime import timedelta

import pytest

from fund import clock
from fund.access.models import Person
from fund.ledger.models import CostObject
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from fund.trail.models import TrailLine
from jobs.repairs.actions import open_repair
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.vehicles.actions import add_vehicle
from tests.jobs.workshop import asked, checked_in, eligible

pytestmark = pytest.mark.django_db


def test_it_gets_a_number_which_is_also_its_cost_object(screener: Person, volunteer: Person) -> None:
    first = checked_in(volunteer, eligible(screener, "One"))
    second = checked_in(volunteer, eligible(screener, "Two"))
    assert (first.number, second.number) == ("RO-0001", "RO-0002")
    assert first.state == State.CHECKED_IN
    cost_object = CostObject.objects.get(code="RO-0001")
    assert first.cost_object == cost_object
    assert cost_object.label == f"{first.alias}, compact car"
    assert TrailLine.objects.filter(subject="RO-0001", action="repair.open").exists()


def test_the_label_of_its_cost_object_never_holds_a_name(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener, "Zebedee Quill"))
    assert "Quill" not in repair.cost_object.label
    assert "Quill" not in "".join(TrailLine.objects.values_list("text", flat=True))


def test_a_household_that_is_not_decided_waits(screener: Person, volunteer: Person) -> None:
    with pytest.raises(NotReady, match="Ask a screener"):
        checked_in(volunteer, asked(screener))
    assert not RepairOrder.objects.exists()
    assert not CostObject.objects.exists()


def test_a_decision_out_of_date_is_no_decision(screener: Person, volunteer: Person) -> None:
    application = eligible(screener)
    until = application.decisions.get().valid_until
    assert until is not None
    with clock.at(until + timedelta(days=1)), pytest.raises(NotReady, match="in date"):
        checked_in(volunteer, application)
    with clock.at(until):
        assert checked_in(volunteer, application).number == "RO-0001"


def test_somebody_elses_vehicle_is_refused(screener: Person, volunteer: Person) -> None:
    mine, other = eligible(screener, "One"), eligible(screener, "Two")
    vehicle = add_vehicle(by=volunteer, household=other.household, year=2004, vehicle_class="pickup")
    with pytest.raises(BadInput, match="does not belong"):
        open_repair(by=volunteer, application=mine, vehicle=vehicle, complaint="Stalls")


def test_a_vehicle_that_is_in_already_is_refused(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener))
    with pytest.raises(AlreadyDone, match="RO-0001 is already open"):
        open_repair(
            by=volunteer, application=repair.application, vehicle=repair.vehicle, complaint="Also squeaks"
        )


def test_an_empty_complaint_is_refused(screener: Person, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="own words"):
        checked_in(volunteer, eligible(screener), complaint="  ")


def test_the_higher_odometer_reading_is_kept_on_the_vehicle(screener: Person, volunteer: Person) -> None:
    repair = checked_in(volunteer, eligible(screener), mileage_in=148_210)
    repair.vehicle.refresh_from_db()
    assert repair.vehicle.mileage == 148_210


def test_a_screener_writes_no_repair_order(screener: Person) -> None:
    application = eligible(screener)
    with pytest.raises(NotAllowed, match="volunteer or owner|owner or volunteer"):
        checked_in(screener, application)
