from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
TYPED = {"name": "Ozias Thimble", "plate": "lrk-2040", "vin": "", "birth_date": "not a day"}


def test_a_screener_learns_while_typing_who_may_have_asked_before(
    screener: Person, client_for: ClientFor
) -> None:
    application_of_three(screener, plate="LRK 2040")
    page = client_for(screener).post("/crew/intake/alike/", TYPED).content.decode()
    assert "Alder, H-0001: the same license plate." in page
    assert "/crew/intake/new/H-0001/" in page


def test_a_volunteer_learns_why_but_not_who(
    screener: Person, volunteer: Person, client_for: ClientFor
) -> None:
    application_of_three(screener, plate="LRK 2040")
    page = client_for(volunteer).post("/crew/intake/alike/", TYPED).content.decode()
    assert "Somebody in the books has the same license plate." in page
    assert "Alder" not in page
    assert "H-0001" not in page


def test_nothing_typed_and_nobody_alike_say_nothing(screener: Person, client_for: ClientFor) -> None:
    application_of_three(screener, plate="LRK 2040")
    for typed in ({}, {"plate": "OTHER 1", "name": "Ozias Thimble"}):
        assert client_for(screener).post("/crew/intake/alike/", typed).content.strip() == b""


def test_the_page_asks_for_it_and_works_without_it(screener: Person, client_for: ClientFor) -> None:
    page = client_for(screener).get("/crew/intake/new/").content.decode()
    assert 'hx-post="/crew/intake/alike/"' in page
    application_of_three(screener)
    assert "hx-post=" not in client_for(screener).get("/crew/intake/new/H-0001/").content.decode()
