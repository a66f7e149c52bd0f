"""Signing in and out, and one's own password."""

from collections.abc import Callable

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from fund.access.models import Person
from fund.trail.models import TrailLine

PASSWORD = "long road to the mill"
ForPerson = Callable[[Person], Client]

pytestmark = pytest.mark.django_db


def try_in(client: Client, password: str) -> int:
    return client.post(reverse("access:sign-in"), {"username": "maren", "password": password}).status_code


@override_settings(AXES_ENABLED=True)
def test_the_right_password_leads_to_today(owner: Person) -> None:
    answer = Client().post(reverse("access:sign-in"), {"username": "maren", "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/crew/")


def test_a_wrong_password_says_so_and_keeps_the_name(owner: Person) -> None:
    page = (
        Client().post(reverse("access:sign-in"), {"username": "maren", "password": "guess"}).content.decode()
    )
    assert "do not go together" in page
    assert 'value="maren"' in page
    assert "guess" not in page


@override_settings(AXES_ENABLED=True, AXES_FAILURE_LIMIT=3)
def test_after_several_wrong_tries_even_the_right_password_waits(owner: Person) -> None:
    client = Client()
    answers = [try_in(client, "guess") for _ in range(3)]
    assert answers[:2] == [200, 200]
    assert try_in(client, PASSWORD) == 429


def test_one_is_not_led_away_to_another_site(owner: Person) -> None:
    answer = Client().post(
        reverse("access:sign-in"), {"username": "maren", "password": PASSWORD, "next": "https://example.com/"}
    )
    assert answer["Location"] == "/crew/"


def test_signing_out_is_a_button_not_a_link(owner: Person, client_for: ForPerson) -> None:
    client = client_for(owner)
    assert client.get(reverse("access:sign-out")).status_code == 405
    assert client.post(reverse("access:sign-out")).status_code == 302
    assert client.get(reverse("access:own")).status_code == 404


def test_a_new_password_works_at_once_and_the_trail_knows_only_that(
    owner: Person, client_for: ForPerson
) -> None:
    client = client_for(owner)
    new = "nine dry paint brushes"
    answer = client.post(reverse("access:own"), {"old": PASSWORD, "new": new, "again": new}, follow=True)
    assert "Your password is changed." in answer.content.decode()
    assert Client().login(request=None, username="maren", password=new) is True
    line = TrailLine.objects.get(action="people.password")
    assert new not in line.text + str(line.data)


@pytest.mark.parametrize(
    ("old", "new", "again", "words"),
    [
        ("not it", "nine dry paint brushes", "nine dry paint brushes", "present password is not right"),
        (PASSWORD, "short", "short", "at least 12"),
        (PASSWORD, "nine dry paint brushes", "nine wet paint brushes", "differ"),
        (PASSWORD, PASSWORD, PASSWORD, "the same as the present one"),
    ],
)
def test_a_password_that_cannot_be_used_is_refused(
    owner: Person, client_for: ForPerson, old: str, new: str, again: str, words: str
) -> None:
    answer = client_for(owner).post(reverse("access:own"), {"old": old, "new": new, "again": again})
    assert words in answer.content.decode()
    owner.refresh_from_db()
    assert owner.check_password(PASSWORD)
