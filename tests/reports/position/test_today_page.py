"""Today: what waits for each person, and free to commit with what was taken off."""

import re
from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import resolve, reverse

from fund import clock
from fund.access.models import Person
from jobs.eligibility.actions import decide
from jobs.households.actions_consent import change_consent
from jobs.intake.actions import answer_relation
from reports.position.waiting import WAITING, month_to_close
from tests.fund.ledger.books import write_book
from tests.jobs.workshop import asked, eligible

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


@pytest.mark.django_db
def test_requests_that_stand_still_are_told_and_lead_to_a_list_of_them_alone(
    screener: Person, volunteer: Person, client_for: ForPerson
) -> None:
    with clock.at(date(2025, 9, 1)):
        yes = eligible(screener, "Somebody with a yes")
        silent = asked(screener, "Somebody without papers")
        answer_relation(by=screener, application=silent, tie=False)
        decide(by=screener, application=silent, verdict="more papers needed", words="A pay stub")
    change_consent(by=None, application=asked(screener, "Third"), key="work", given=False)
    asked(screener, "Fourth")
    client = client_for(screener)
    page = today(client)
    for words, why, code in (
        ("yes has run out", "ran+out", yes.code),
        ("request whose papers never came", "silent", silent.code),
        ("request lost a needed yes", "no+yes", "A-0003"),
    ):
        assert words in page
        assert f"/crew/intake/?stuck={why}" in page
        listed = client.get(f"/crew/intake/?stuck={why}").content.decode()
        assert set(re.findall(r"/crew/intake/(A-\d{4})/", listed)) == {code}
    assert "has run out" not in today(client_for(volunteer))
    with clock.at(date(2025, 11, 30)):  # the last day of the yes, and of the wait for papers
        assert "has run out" not in today(client)
        assert "never came" not in today(client)


@pytest.mark.django_db
def test_a_request_that_was_closed_waits_for_nobody(screener: Person, client_for: ForPerson) -> None:
    with clock.at(date(2025, 9, 1)):
        yes = eligible(screener, "Somebody with a yes")
    answer_relation(by=screener, application=yes, tie=False)
    decide(by=screener, application=yes, verdict="withdrawn", reasons=["no answer"])
    assert "has run out" not in today(client_for(screener))
