"""Named people, the basics loaded once, and a clock that stands still."""

import os
from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.test import Client
from hypothesis import HealthCheck, settings

import fund.setup
import jobs.setup
from fund import clock
from fund.access.models import Person
from reports.position.proofs import prove_all

pytest_plugins = ["tests.house.needs"]
TODAY = date(2026, 3, 15)

# How fast a machine is proves nothing, so no example has a deadline; a machine that decides looks at the same examples.
settings.register_profile(
    "house",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=os.environ.get("CI") == "true",
)
settings.load_profile("house")


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock():
        fund.setup.load_basics()
        jobs.setup.load_basics()


@pytest.fixture(autouse=True)
def _clock_stands() -> Iterator[None]:
    with clock.at(TODAY):
        yield


@pytest.fixture(autouse=True)
def _books_prove(request: pytest.FixtureRequest) -> Iterator[None]:
    """After every edge case the books prove themselves: a case that books right and breaks a proof stops every backup."""
    if "db" not in request.fixturenames or not request.module.__name__.split(".")[-1].startswith("test_edge"):
        yield
        return
    request.getfixturevalue("db")
    yield
    assert prove_all().breaks == []


def _person(username: str, first: str, last: str, *roles: str) -> Person:
    person = Person.objects.create_user(
        username, first_name=first, last_name=last, password="long road to the mill"
    )
    person.groups.set(Group.objects.filter(name__in=roles))
    return person


@pytest.fixture
def owner(db: None) -> Person:
    return _person("maren", "Maren", "Holt", "owner")


@pytest.fixture
def treasurer(db: None) -> Person:
    return _person("odell", "Odell", "Price", "treasurer")


@pytest.fixture
def screener(db: None) -> Person:
    return _person("ines", "Ines", "Moreau", "screener")


@pytest.fixture
def volunteer(db: None) -> Person:
    return _person("tavi", "Tavi", "Brandt", "volunteer")


@pytest.fixture
def volunteer2(db: None) -> Person:
    return _person("jun", "Jun", "Okafor", "volunteer")


@pytest.fixture
def accountant(db: None) -> Person:
    return _person("petra", "Petra", "Lindqvist", "accountant")


@pytest.fixture
def client_for() -> Callable[[Person], Client]:
    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return sign_in
