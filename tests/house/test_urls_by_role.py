"""Every page, asked for by a stranger and by each role."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import transaction
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.access.powers import POWERS, ROLES
from tests.house import samples
from tests.house.url_powers import PUBLIC, URL_POWERS
from tests.house.urls import Url, every_url
from tests.reports.month.march import Crew

pytestmark = pytest.mark.django_db
# Seen with the power: the page, a way on to another page, or "only by POST".
OPEN = {200, 302, 405}
STAND_INS = {"pk": "1", "number": "1", "key": "2026-03", "year": "2025"}


@pytest.fixture(scope="module")
def paths(django_db_setup: None, django_db_blocker: Any) -> Iterator[dict[str, str]]:
    """The address of every page, on a fund that has one of everything; made once for all tests here."""
    with django_db_blocker.unblock(), transaction.atomic():
        names = {
            "maren": "owner", "odell": "treasurer", "ines": "screener", "tavi": "volunteer", "jun": "volunteer",
            "petra": "accountant",
        }  # fmt: skip
        people = {name: Person.objects.create_user(name) for name in names}
        for name, role in names.items():
            people[name].groups.set(Group.objects.filter(name=role))
        samples.live(Crew(*(people[name] for name in ("maren", "odell", "ines", "tavi", "jun"))))
        yield samples.paths()
        transaction.set_rollback(True)


@pytest.fixture
def client_of(paths: dict[str, str], client_for: Callable[[Person], Client]) -> Callable[[str], Client]:
    def enter(role: str) -> Client:
        client = client_for(Person.objects.filter(groups__name=role).earliest("pk"))
        client.raise_request_exception = False
        return client

    return enter


def roles_that_open(url: Url) -> set[str]:
    return {role for power in URL_POWERS[url.name] for role in POWERS[power].roles}


def any_path(url: Url) -> str:
    """A path of the right shape; who lacks the power is turned away before anything is looked up."""
    return reverse(url.name, kwargs={field: STAND_INS.get(field, "X") for field in url.fields})


def guarded() -> list[Url]:
    return [url for url in every_url() if URL_POWERS[url.name] != PUBLIC]


def test_every_page_has_its_line_in_the_table() -> None:
    names = {url.name for url in every_url()}
    assert names - URL_POWERS.keys() == set(), "add these to tests/house/url_powers.py"
    assert URL_POWERS.keys() - names == set(), "these are no pages any more"


def test_every_page_has_a_sample(paths: dict[str, str]) -> None:
    assert {url.name for url in every_url()} - paths.keys() == set(), "add these to tests/house/samples.py"


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_stranger_finds_nothing_of_the_crew(paths: dict[str, str], client: Client, method: str) -> None:
    client.raise_request_exception = False
    answers = {}
    for url in guarded():
        for path in (any_path(url), paths[url.name]):
            answers[path] = getattr(client, method)(path).status_code
    assert len(answers) > len(ROLES)
    assert {path: code for path, code in answers.items() if code != 404} == {}


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", ROLES)
def test_crew_without_the_power_are_told_who_has_it(
    role: str, method: str, paths: dict[str, str], client_of: Callable[[str], Client]
) -> None:
    client = client_of(role)
    wrong = {}
    for url in guarded():
        if role in roles_that_open(url):
            continue
        answer = getattr(client, method)(paths[url.name])
        named = any(allowed in answer.content.decode() for allowed in roles_that_open(url))
        if answer.status_code != 403 or not named:
            wrong[url.name] = answer.status_code
    assert wrong == {}


@pytest.mark.parametrize("role", ROLES)
def test_crew_with_the_power_get_in(
    role: str, paths: dict[str, str], client_of: Callable[[str], Client]
) -> None:
    client = client_of(role)
    wrong = {}
    with clock.at(samples.AFTER):
        for url in every_url():
            if URL_POWERS[url.name] == PUBLIC or role in roles_that_open(url):
                answer = client.get(paths[url.name])
                if answer.streaming:
                    answer.getvalue()  # a file stays open until it is read to its end
                if answer.status_code not in OPEN:
                    wrong[url.name] = (paths[url.name], answer.status_code)
    assert wrong == {}


def test_a_stranger_may_see_every_public_page(paths: dict[str, str], client: Client) -> None:
    public = [url for url in every_url() if URL_POWERS[url.name] == PUBLIC]
    answers = {url.name: client.get(paths[url.name]).status_code for url in public}
    assert {name: code for name, code in answers.items() if code not in OPEN} == {}
