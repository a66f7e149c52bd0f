"""Two people at one estimate: the later one writes over no line they have not read."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.refusal import NotReady
from jobs.estimates.actions import set_estimate
from jobs.estimates.models_types import JobType
from jobs.estimates.queries_read import estimate_mark
from jobs.repairs.models import RepairOrder
from tests.jobs.estimates.test_editor_page import ALTERNATOR, row
from tests.jobs.workshop import checked_in, eligible, part

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
BELT = {"rows": "1", **row(0, "part", "belt", "31.20")}


@pytest.fixture
def repair(screener: Person, volunteer: Person) -> RepairOrder:
    return checked_in(volunteer, eligible(screener))


def read(page: Any) -> str:
    found = re.search(r'name="read" value="(\w{32})"', page.content.decode())
    assert found
    return found[1]


def lines(repair: RepairOrder) -> list[str]:
    return [line.text for line in repair.estimate_lines.order_by("ordinal")]


def test_the_later_one_is_told_the_lines_saved_meanwhile_and_loses_none_typed(
    repair: RepairOrder, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    url = f"/crew/repairs/{repair.number}/estimate/"
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    first, second = read(tavi.get(url)), read(jun.get(url))
    assert tavi.post(url, {**ALTERNATOR, "act": "save", "read": first}).status_code == 302
    summed = jun.post(url, {**BELT, "act": "sum", "read": second})
    assert read(summed) == second  # adding up tells nobody what changed
    answer = jun.post(url, {**BELT, "act": "save", "read": second})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "This estimate was saved elsewhere since you opened the page." in page
    assert "<li>alternator, reman, $214.99</li>" in page
    assert 'value="belt"' in page
    assert lines(repair) == ["alternator", "sales tax", "old alternator"]
    assert jun.post(url, {**BELT, "act": "save", "read": read(answer)}).status_code == 302
    assert lines(repair) == ["belt"]


def test_a_typical_job_chosen_meanwhile_counts_as_well(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    url = f"/crew/repairs/{repair.number}/estimate/"
    client = client_for(volunteer)
    old, job = read(client.get(url)), JobType.objects.get(code="front-brakes")
    assert client.post(url, {**BELT, "typical_job": job.pk, "act": "save", "read": old}).status_code == 302
    repair.refresh_from_db()
    assert repair.typical_job == job
    answer = client.post(url, {**BELT, "act": "save", "read": old})
    assert f"<li>Typical job: {job.name}</li>" in answer.content.decode()
    repair.refresh_from_db()
    assert repair.typical_job == job


def test_the_action_compares_under_its_lock(repair: RepairOrder, volunteer: Person) -> None:
    empty = estimate_mark(repair)
    set_estimate(by=volunteer, repair=repair, lines=part(31_20), read=empty)
    with pytest.raises(NotReady, match="saved elsewhere") as refusal:
        set_estimate(by=volunteer, repair=repair, lines=part(20_00), read=empty)
    assert refusal.value.details == ["fuel pump module, new, $31.20"]
    assert [line.amount for line in repair.estimate_lines.all()] == [Money(31_20)]
    set_estimate(by=volunteer, repair=repair, lines=part(20_00))
