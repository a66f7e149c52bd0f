from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from jobs.households.models import Household
from jobs.vehicles import queries
from jobs.vehicles.actions import add_vehicle, change_vehicle
from jobs.vehicles.forms import VehicleAndStandingForm
from jobs.vehicles.models import Vehicle
from jobs.vehicles.tables import VehicleFilter, VehicleTable

FORM = "jobs/vehicles/form.html"


@power("repair.see")
def all_vehicles(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        VehicleTable,
        queries.vehicles(),
        VehicleFilter,
        "jobs/vehicles/all.html",
        filename="vehicles",
    )


@power("intake.enter")
def add(request: HttpRequest, household: str) -> HttpResponse:
    owner = get_object_or_404(Household, code=household)
    form = VehicleAndStandingForm(**posted(request))
    return form_page(
        request,
        form,
        lambda data: _warned(
            request, add_vehicle(by=person_of(request), household=owner, **form.answers(data))
        ),
        template=FORM,
        then=lambda vehicle: reverse("vehicles:change", args=[vehicle.pk]),
        done=lambda vehicle: f"{vehicle} written down.",
        context={"heading": f"A vehicle of {owner.alias}", "submit": "Add the vehicle"},
    )


@power("intake.enter")
def change(request: HttpRequest, pk: int) -> HttpResponse:
    vehicle = get_object_or_404(Vehicle.objects.select_related("household"), pk=pk)
    start = {name: getattr(vehicle, name) for name in VehicleAndStandingForm.base_fields}
    form = VehicleAndStandingForm(initial=start, **posted(request))
    return form_page(
        request,
        form,
        lambda data: _warned(
            request, change_vehicle(by=person_of(request), vehicle=vehicle, **form.answers(data))
        ),
        template=FORM,
        then=lambda saved: reverse("vehicles:change", args=[saved.pk]),
        done=lambda saved: f"{saved} saved.",
        context={
            "heading": f"{vehicle} of {vehicle.household.alias}",
            "vehicle": vehicle,
            "repairs": vehicle.repairs.order_by("-number"),
            "submit": "Save the vehicle",
        },
    )


def _warned(request: HttpRequest, vehicle: Vehicle) -> Vehicle:
    if vehicle.vin_warning:
        messages.warning(request, f"VIN: {vehicle.vin_warning}")
    return vehicle
