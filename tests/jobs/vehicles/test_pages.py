from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from jobs.vehicles.models import Vehicle
from tests.jobs.workshop import asked

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


def test_a_vin_that_looks_wrong_is_kept_with_a_warning(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    household = asked(screener).household
    url = f"/crew/vehicles/add/{household.code}/"
    typed = {"year": "2004", "vehicle_class": "pickup", "vin": "1M8GDM9AXKPO42788"}
    page = client_for(volunteer).post(url, typed, follow=True).content.decode()
    assert Vehicle.objects.get().vin == "1M8GDM9AXKPO42788"
    assert "Position 12 is the letter O" in page


def test_a_year_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    household = asked(screener).household
    answer = client_for(volunteer).post(
        f"/crew/vehicles/add/{household.code}/",
        {"year": "3011", "vehicle_class": "pickup", "plate": "LRK 204"},
    )
    assert answer.status_code == 422
    assert "The model year 3011 cannot be right" in answer.content.decode()
    assert "LRK 204" in answer.content.decode()
    assert not Vehicle.objects.exists()


def test_vehicles_are_found_by_their_whole_plate_or_vin(
    screener: Person, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    for name, plate, vin in (("One", "LRK204", "1M8GDM9AXKP042788"), ("Two", "LRK555", "")):
        client.post(
            f"/crew/vehicles/add/{asked(screener, name).household.code}/",
            {"year": "2004", "vehicle_class": "pickup", "plate": plate, "vin": vin},
        )
    for words in ("1M8GDM9AXKP042788", "lrk204"):
        page = client.get("/crew/vehicles/", {"words": words}).content.decode()
        assert "LRK204" in page
        assert "LRK555" not in page
