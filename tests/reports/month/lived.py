"""A February and a March lived once for all tests of a file: each test then starts from here and is rolled back to here.

Files that want an empty book do not ask for ``orders``, ``closed`` or ``published``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import transaction

from fund import clock
from fund.access.models import Person
from jobs.repairs.models import RepairOrder
from reports.month.actions import close_month, publish_month
from reports.month.models import PublishedMonth
from tests.reports.month import march as story
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 3)
PEOPLE = (
    ("maren", "Maren", "Holt", "owner"),
    ("odell", "Odell", "Price", "treasurer"),
    ("ines", "Ines", "Moreau", "screener"),
    ("tavi", "Tavi", "Brandt", "volunteer"),
    ("jun", "Jun", "Okafor", "volunteer"),
    ("petra", "Petra", "Lindqvist", "accountant"),
)


@dataclass(frozen=True)
class Lived:
    crew: Crew
    accountant: Person
    numbers: dict[str, str]


@pytest.fixture(scope="module")
def lived(django_db_setup: None, django_db_blocker: Any) -> Iterator[Lived]:
    """February is published; March has happened and is still open. Undone at the end of the file."""
    with django_db_blocker.unblock(), transaction.atomic():
        people = []
        for username, first, last, role in PEOPLE:
            person = Person.objects.create_user(username, first_name=first, last_name=last)
            person.groups.add(Group.objects.get(name=role))
            people.append(person)
        crew = Crew(*people[:5])
        story.february(crew)
        with clock.at(date(2026, 3, 2)):
            publish_month(by=crew.owner, month="2026-02")
        orders = story.march(crew)
        yield Lived(crew, people[5], {letter: order.number for letter, order in orders.items()})
        transaction.set_rollback(True)


@pytest.fixture
def crew(lived: Lived, db: None) -> Crew:
    return lived.crew


@pytest.fixture
def orders(lived: Lived, db: None) -> dict[str, RepairOrder]:
    """March before its close. Repairs by letter."""
    rows = {order.number: order for order in RepairOrder.objects.all()}
    return {letter: rows[number] for letter, number in lived.numbers.items()}


@pytest.fixture
def closed(orders: dict[str, RepairOrder], crew: Crew) -> dict[str, RepairOrder]:
    with clock.at(AFTER):
        close_month(by=crew.treasurer, month="2026-03")
    return orders


@pytest.fixture
def published(closed: dict[str, RepairOrder], crew: Crew) -> PublishedMonth:
    with clock.at(AFTER):
        return publish_month(by=crew.owner, month="2026-03")


@pytest.fixture
def owner(crew: Crew) -> Person:
    return crew.owner


@pytest.fixture
def treasurer(crew: Crew) -> Person:
    return crew.treasurer


@pytest.fixture
def volunteer(crew: Crew) -> Person:
    return crew.volunteer


@pytest.fixture
def accountant(lived: Lived, db: None) -> Person:
    return lived.accountant


@pytest.fixture(scope="module")
def told(lived: Lived) -> PublishedMonth:
    """March published once for the whole file, for tests that only read."""
    with transaction.atomic(), clock.at(AFTER):
        close_month(by=lived.crew.treasurer, month="2026-03")
        done = publish_month(by=lived.crew.owner, month="2026-03")
    return done
