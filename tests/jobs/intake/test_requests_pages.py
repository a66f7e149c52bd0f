"""The list and the page of a request: the crew sees alias and complaint, names only with the power to."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from fund.access.models import Person
from jobs.intake.actions import open_application
from jobs.intake.actions_answers import answer_questions
from tests.jobs.intake.people import application_of_three, asking, eligible

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
PRIVATE = ("Wilhelmina", "Quarrender", "Cooper", "555 0142", "dialysis", "548.00", "14,248")


def shown(client: Client, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200
    return answer.getvalue().decode()


@pytest.mark.parametrize("url", ["/crew/intake/", "/crew/intake/?format=csv", "/crew/intake/A-0001/"])
def test_a_volunteer_sees_alias_and_complaint_and_nothing_private(
    client_for: ClientFor, screener: Person, volunteer: Person, url: str
) -> None:
    application_of_three(screener, need="treatment", need_words="dialysis")
    page = shown(client_for(volunteer), url)
    assert "Alder" in page
    assert "Grinds when I brake." in page
    assert not [word for word in PRIVATE if word in page]
    assert "Decide" not in page


def test_the_screener_sees_need_answers_and_decisions(client_for: ClientFor, screener: Person) -> None:
    application = eligible(screener).application
    answer_questions(by=screener, application=application, answers={"first in a year": "not sure"})
    page = shown(client_for(screener), "/crew/intake/A-0001/")
    for words in ("getting to work", "Still to ask", "Decide again", "Valid until 2026-06-13", "no tie"):
        assert words in page
    assert "Quarrender" not in page


def test_the_list_stands_in_the_waiting_order_and_says_it(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    open_application(by=screener, asking=asking(complaint="Pedal sinks.", drivable="unsafe"))
    page = shown(client_for(screener), "/crew/intake/")
    assert page.index("Pedal sinks.") < page.index("Grinds when I brake.")
    assert "A vehicle that is not safe to drive has 100." in page


def test_words_and_state_narrow_the_list(client_for: ClientFor, screener: Person) -> None:
    eligible(screener)
    open_application(by=screener, asking=asking(complaint="Pedal sinks."))
    assert "Pedal sinks." not in shown(client_for(screener), "/crew/intake/?state=eligible")
    assert "Grinds" not in shown(client_for(screener), "/crew/intake/?words=pedal")
    assert "Nothing fits this search" in shown(client_for(screener), "/crew/intake/?words=Quarrender")


def test_the_list_asks_as_little_for_thirty_as_for_one(
    client_for: ClientFor, screener: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(30):
        open_application(by=screener, asking=asking(complaint=f"Noise {number}"))
    client = client_for(screener)
    with django_assert_max_num_queries(8):
        shown(client, "/crew/intake/")


def test_an_empty_list_says_so(client_for: ClientFor, volunteer: Person) -> None:
    assert "Nobody has asked for help yet." in shown(client_for(volunteer), "/crew/intake/")


def test_an_unknown_request_is_not_found(client_for: ClientFor, screener: Person) -> None:
    assert client_for(screener).get("/crew/intake/A-9999/").status_code == 404


@pytest.mark.parametrize("url", ["/crew/intake/", "/crew/intake/A-0001/"])
def test_strangers_get_404_and_the_accountant_403(
    client: Client, client_for: ClientFor, screener: Person, accountant: Person, url: str
) -> None:
    application_of_three(screener)
    assert client.get(url).status_code == 404
    assert client_for(accountant).get(url).status_code == 403
