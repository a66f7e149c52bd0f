from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.actions_search import write_keys
from jobs.households.models import Household
from jobs.vehicles.models import Vehicle
from jobs.vehicles.rules import Standing, check_standing, tidy_vin

FIRST_YEAR = 1900


@transaction.atomic
def add_vehicle(
    *,
    by: Person,
    household: Household,
    year: int,
    vehicle_class: str,
    make_model: str = "",
    vin: str = "",
    plate: str = "",
    mileage: int | None = None,
    note: str = "",
    standing: Standing | None = None,
) -> Vehicle:
    """Write down a household's vehicle. Mileage in miles.

    A VIN that looks wrong is kept as typed: see ``Vehicle.vin_warning``. Refuses an impossible year and a
    missing kind of vehicle.
    """
    require(by, "intake.enter")
    vehicle = Vehicle(household=household)
    _stand(by, vehicle, standing)
    write_vehicle(vehicle, year, vehicle_class, make_model, vin, plate, mileage, note)
    text = f"Vehicle of {household.code}: {vehicle}."
    record(by=by, action="vehicle.add", subject=household.code, text=text, data={"vehicle": vehicle.pk})
    return vehicle


@transaction.atomic
def change_vehicle(
    *,
    by: Person,
    vehicle: Vehicle,
    year: int,
    vehicle_class: str,
    make_model: str = "",
    vin: str = "",
    plate: str = "",
    mileage: int | None = None,
    note: str = "",
    standing: Standing | None = None,
) -> Vehicle:
    """Correct what was written down; without ``standing`` that part stays as it is.

    Repair orders keep the kind of vehicle they were opened with.
    """
    require(by, "intake.enter")
    _stand(by, vehicle, standing)
    write_vehicle(vehicle, year, vehicle_class, make_model, vin, plate, mileage, note)
    code = vehicle.household.code
    text = f"Vehicle of {code} corrected: {vehicle}."
    record(by=by, action="vehicle.change", subject=code, text=text, data={"vehicle": vehicle.pk})
    return vehicle


def _stand(by: Person, vehicle: Vehicle, standing: Standing | None) -> None:
    if standing is not None:
        refuse_tie(by, vehicle.household)  # title, registration and value are what a decision rests on
        check_standing(standing, clock.today())
        vehicle.title, vehicle.registered_on = standing.title, standing.registered_on
        vehicle.value, vehicle.value_source = standing.value, standing.value_source.strip()


def write_vehicle(
    vehicle: Vehicle,
    year: int,
    vehicle_class: str,
    make_model: str,
    vin: str,
    plate: str,
    mileage: int | None,
    note: str,
) -> None:
    """Part of an action, inside its transaction; asks for no power."""
    newest = clock.today().year + 2
    if not FIRST_YEAR <= year <= newest:
        raise BadInput(f"The model year {year} cannot be right. Write four digits, up to {newest}.")
    if not vehicle_class.strip():
        raise BadInput("Say what kind of vehicle it is, such as “compact car” or “pickup”.")
    if mileage is not None and mileage < 0:
        raise BadInput("Mileage cannot be below zero. Read the odometer again.")
    if len(tidy_vin(vin)) > 20:
        raise BadInput("A VIN has 17 characters; this is far longer. Write only the VIN here.")
    vehicle.year = year
    vehicle.vehicle_class = vehicle_class.strip()
    vehicle.make_model = make_model.strip()
    vehicle.vin = tidy_vin(vin)
    vehicle.plate = "".join(plate.split()).upper()
    vehicle.mileage = mileage
    vehicle.note = note.strip()
    vehicle.save()
    write_keys(vehicle.household)
