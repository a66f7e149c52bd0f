"""The owner draws their signature at check-in: enough alone, seen by few, and gone with the household's file."""

import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.refusal import BadInput
from fund.sealed import open_bytes
from fund.trail.models import TrailLine
from jobs.households.actions_keep import forget_households
from jobs.intake.actions import mark_helped
from jobs.repairs.actions import open_repair
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_checkin import finish_check_in
from jobs.vehicles.models_checkin import CheckIn
from jobs.vehicles.queries_checkin import check_in_of, draft_of
from jobs.vehicles.rules_checkin import CheckInFacts
from tests.jobs.workshop import eligible, four_photos

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
DRAWN = [[20, 120, 60, 40, 100, 200, 140, 40], [200, 120, 260, 121]]
PATH = "M20 120L60 40L100 200L140 40M200 120L260 121"


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    application = eligible(screener)
    vehicle = add_vehicle(
        by=volunteer, household=application.household, year=2011, vehicle_class="sedan", mileage=148_000
    )
    return open_repair(by=volunteer, application=application, vehicle=vehicle, complaint="Grinds")


def drawn_at_the_door(by: Person, repair: RepairOrder, **facts: Any) -> CheckIn:
    told = CheckInFacts(**{"mileage": 148_210, "no_lights": True, "drawn": DRAWN, **facts})
    return finish_check_in(by=by, repair=repair, facts=told, photos=four_photos())


def send(client: Client, repair: RepairOrder, **typed: Any) -> tuple[int, str]:
    whole = {"mileage": "148210", "no_lights": "on", "drawn": json.dumps(DRAWN), "act": "finish"}
    answer = client.post(f"/crew/repairs/{repair.number}/check-in/", {**whole, **typed})
    return answer.status_code, answer.content.decode()


def stored() -> str | None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT drawn FROM jobs_checkin")
        value: str | None = cursor.fetchone()[0]
        return value


def test_a_drawn_signature_is_enough_without_name_and_tick(repair: RepairOrder, volunteer: Person) -> None:
    drawn_at_the_door(volunteer, repair)
    row = CheckIn.objects.get(repair=repair)
    assert (row.drawn, row.signed_by) == (DRAWN, "")


def test_in_the_database_it_is_a_token(repair: RepairOrder, volunteer: Person) -> None:
    drawn_at_the_door(volunteer, repair)
    token = stored()
    assert token is not None
    assert token.startswith("gAAAAA")
    assert json.loads(open_bytes(token.encode())) == DRAWN
    assert not any("60" in line.text for line in TrailLine.objects.filter(action="check_in.finish"))


def test_a_check_in_signed_with_the_name_has_no_drawing(repair: RepairOrder, volunteer: Person) -> None:
    drawn_at_the_door(volunteer, repair, drawn=None, signed_by="Ada Quill", signed=True)
    assert stored() is None


def test_only_who_may_see_papers_sees_it_drawn_again(
    repair: RepairOrder, volunteer: Person, screener: Person, accountant: Person, client_for: SignIn
) -> None:
    drawn_at_the_door(volunteer, repair)
    url = f"/crew/repairs/{repair.number}/check-in/"
    assert f'<path d="{PATH}"/>' in client_for(screener).get(url).content.decode()
    for person in (volunteer, accountant):
        page = client_for(person).get(url).content.decode()
        assert "M20 120" not in page
        assert "name and signature are kept with the household" in page


def test_the_page_takes_a_drawing_and_finishes(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    assert send(client_for(volunteer), repair, photos=four_photos())[0] == 302
    row = check_in_of(repair)
    assert row is not None
    assert row.drawn == DRAWN


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ("[[300,120]]", "nearly empty"),
        (json.dumps([[1, 2] * 3001]), "too large"),
        ("[[1,2],[3,9999]]", "did not arrive whole"),
        ('[["<svg onload=x>", 2]]', "did not arrive whole"),
    ],
)
def test_what_is_no_drawing_signs_nothing_and_loses_nothing_typed(
    repair: RepairOrder, volunteer: Person, client_for: SignIn, sent: str, sentence: str
) -> None:
    status, page = send(client_for(volunteer), repair, photos=four_photos(), drawn=sent)
    assert status == 422
    assert sentence in page
    assert 'value="148210"' in page
    assert "<svg onload" not in page
    assert not CheckIn.objects.exists()
    assert draft_of(repair)["mileage"] == "148210"


def test_a_drawing_stays_in_the_box_when_something_else_lacks_and_is_in_no_draft(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    """What was signed is what stood there; on a page that is opened anew the owner signs again."""
    client = client_for(volunteer)
    status, page = send(client, repair, mileage="", damage="Dent", signed="on", signed_by="Ada Quill")
    assert status == 422
    assert f'name="drawn" value="{json.dumps(DRAWN)}"' in page
    kept = draft_of(repair)
    assert (kept["damage"], kept["signed_by"]) == ("Dent", "Ada Quill")
    assert not {"drawn", "signed"} & kept.keys()
    again = client.get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert 'name="drawn" value=""' in again


def test_an_empty_box_beside_a_name_and_tick_is_no_mistake(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    typed = {"drawn": "", "signed_by": "Ada Quill", "signed": "on", "photos": four_photos()}
    assert send(client_for(volunteer), repair, **typed)[0] == 302


def test_neither_drawn_nor_typed_is_told_in_one_sentence(repair: RepairOrder, volunteer: Person) -> None:
    with pytest.raises(BadInput, match="signs with their name and the tick, or draws"):
        drawn_at_the_door(volunteer, repair, drawn=None)


def test_it_is_never_changed_and_goes_with_the_file_of_the_household(
    repair: RepairOrder, volunteer: Person, screener: Person, client_for: SignIn
) -> None:
    drawn_at_the_door(volunteer, repair)
    with pytest.raises(DatabaseError), transaction.atomic():
        CheckIn.objects.all().delete()
    cancel(by=volunteer, repair=repair, reason="sold")
    mark_helped(by=volunteer, application=repair.application)
    with clock.at(date(2046, 1, 1)):
        forget_households(by=None)
    assert stored() is None
    page = client_for(screener).get(f"/crew/repairs/{repair.number}/check-in/").content.decode()
    assert "name and signature were destroyed on their day" in page
