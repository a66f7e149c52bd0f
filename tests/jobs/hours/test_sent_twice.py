"""Hours that are sent twice are entered once, and a finding is noted once."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from jobs.hours.models import HoursEntry
from jobs.repairs.models import Finding, RepairOrder
from tests.jobs.hours.test_pages import typed

ClientFor = Callable[[Person], Client]


def _token(client: Client, address: str) -> str:
    found = re.search(r'name="form_token" value="([0-9a-f]{32})"', client.get(address).content.decode())
    assert found, f"the form of {address} carries no token"
    return found[1]


@pytest.mark.parametrize("others", [[], ["jun"]])
def test_hours_sent_twice_are_entered_once(
    others: list[str], repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    client, address = client_for(volunteer), reverse("hours:add")
    told = {**typed(repair, others=others), "form_token": _token(client, address)}
    first, again = client.post(address, told), client.post(address, told)
    assert (first.status_code, again.status_code) == (302, 302)
    assert first["Location"] == again["Location"]
    assert HoursEntry.objects.count() == 1 + len(others)
    assert "This form was sent twice and done once." in client.get(again["Location"]).content.decode()


def test_as_many_hours_on_purpose_are_entered_twice(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client, address = client_for(volunteer), reverse("hours:add")
    for _ in range(2):
        client.post(address, {**typed(repair, tenths="1.0"), "form_token": _token(client, address)})
    assert HoursEntry.objects.count() == 2


def test_a_finding_sent_twice_is_noted_once(
    repair: RepairOrder, volunteer: Person, client_for: ClientFor
) -> None:
    client, address = client_for(volunteer), reverse("repairs:finding", args=[repair.number])
    told = {"text": "Left tie rod end has play", "form_token": _token(client, address)}
    first, again = client.post(address, told), client.post(address, told)
    assert (first.status_code, again["Location"]) == (302, first["Location"])
    assert [row.text for row in Finding.objects.all()] == ["Left tie rod end has play"]
