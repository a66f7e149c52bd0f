"""Today: what waits for each person, and free to commit with what was taken off."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import resolve, reverse

from fund.access.models import Person
from reports.position.waiting import WAITING, month_to_close
from tests.fund.ledger.books import write_book

ForPerson = Callable[[Person], Client]


def today(client: Client) -> str:
    return client.get(reverse("position:today")).content.decode()


def test_free_to_commit_is_shown_with_its_subtractions(treasurer: Person, client_for: ForPerson) -> None:
    """Bank 811.90 less tires 300.00 less the reserve of 1,000.00."""
    write_book(treasurer)
    page = today(client_for(treasurer))
    assert "\u2212$488.10" in page
    assert "less restricted gifts not yet spent" in page
    assert "300.00" in page
    assert "1,000.00" in page


def test_a_month_that_is_over_waits_for_those_who_close_it(
    treasurer: Person, volunteer: Person, client_for: ForPerson
) -> None:
    write_book(treasurer)
    assert month_to_close() == "2026-02"
    assert "month is over and open" in today(client_for(treasurer))
    assert "month is over and open" not in today(client_for(volunteer))


def test_a_person_sees_only_the_rooms_they_may_enter(
    volunteer: Person, owner: Person, client_for: ForPerson
) -> None:
    mine, all_rooms = today(client_for(volunteer)), today(client_for(owner))
    assert 'href="/crew/books/"' not in mine
    assert 'href="/crew/bank/"' not in mine
    assert 'href="/crew/books/"' in all_rooms
    assert '<a href="/crew/" aria-current="page">Today</a>' in mine


def test_nothing_waiting_is_said(accountant: Person, client_for: ForPerson) -> None:
    assert "Nothing waits for you." in today(client_for(accountant))


def test_every_thing_that_waits_leads_to_a_page() -> None:
    assert all(resolve(reverse(thing.page)) for thing in WAITING)


@pytest.mark.django_db
def test_a_stranger_is_told_of_no_such_page_and_where_to_sign_in() -> None:
    answer = Client().get(reverse("position:today"))
    assert answer.status_code == 404
    assert "/crew/sign-in/?next=/crew/" in answer.content.decode()


def test_every_pattern_renders(volunteer: Person, client_for: ForPerson) -> None:
    assert client_for(volunteer).get(reverse("position:patterns")).status_code == 200
