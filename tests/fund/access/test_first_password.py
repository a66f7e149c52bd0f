"""A password that somebody else knows opens one page only: the one that changes it."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from fund.access.actions import add_person
from fund.access.actions_password import change_own_password, give_first_password
from fund.access.models import Person
from fund.refusal import BadInput, NotAllowed
from fund.trail.models import TrailLine
from tests.conftest import TODAY

FIRST, OWN = "until the first evening", "four rusty calipers"
ForPerson = Callable[[Person], Client]


@pytest.fixture
def wren(owner: Person) -> Person:
    return add_person(
        by=owner, username="wren", first_name="Wren", last_name="Adeyemi", password=FIRST, roles=["volunteer"]
    )


@pytest.mark.parametrize("name", ["position:today", "receipts:all", "gifts:counts", "receipts:new"])
def test_no_other_page_opens_before_it_is_changed(wren: Person, client_for: ForPerson, name: str) -> None:
    answer = client_for(wren).get(reverse(name))
    assert (answer.status_code, answer["Location"]) == (302, reverse("access:own"))


def test_nothing_can_be_posted_before_it_is_changed(wren: Person, client_for: ForPerson) -> None:
    before = TrailLine.objects.count()
    answer = client_for(wren).post(reverse("receipts:new"), {"store": "Gantry Parts", "total": "5.00"})
    assert answer["Location"] == reverse("access:own")
    assert TrailLine.objects.count() == before


def test_the_page_says_why_and_leads_on_once_it_is_changed(wren: Person) -> None:
    client = Client()
    client.post(reverse("access:sign-in"), {"username": "wren", "password": FIRST})
    assert "Somebody else gave you this password" in client.get(reverse("access:own")).content.decode()
    answer = client.post(reverse("access:own"), {"old": FIRST, "new": OWN, "again": OWN})
    assert (answer.status_code, answer["Location"]) == (302, "/crew/")
    assert client.get("/crew/").status_code == 200
    wren.refresh_from_db()
    assert not wren.first_password


def test_the_first_password_cannot_be_kept(wren: Person) -> None:
    with pytest.raises(BadInput, match="the same as the present one"):
        change_own_password(by=wren, old=FIRST, new=FIRST)


def test_an_owner_gives_a_new_one_to_who_forgot_theirs(
    owner: Person, volunteer: Person, client_for: ForPerson
) -> None:
    theirs = client_for(volunteer)
    assert theirs.get("/crew/").status_code == 200
    address = reverse("access:first-password", args=["tavi"])
    page = client_for(owner).post(address, {"password": FIRST}, follow=True).content.decode()
    assert "Tavi Brandt signs in with the new first password and then chooses one." in page
    volunteer.refresh_from_db()
    assert volunteer.first_password
    assert volunteer.check_password(FIRST)
    assert theirs.get("/crew/").status_code == 404  # signed out everywhere
    assert TrailLine.objects.filter(action="people.first_password", subject="tavi").count() == 1


def test_a_short_one_is_refused_and_the_old_one_stays(owner: Person, volunteer: Person) -> None:
    kept = volunteer.password
    with pytest.raises(BadInput, match="at least 12"):
        give_first_password(by=owner, person=volunteer, password="short")
    volunteer.refresh_from_db()
    assert (volunteer.password, volunteer.first_password) == (kept, False)


def test_nobody_gives_it_to_themselves_and_only_an_owner_to_others(owner: Person, treasurer: Person) -> None:
    with pytest.raises(BadInput, match="under your name"):
        give_first_password(by=owner, person=owner, password=FIRST)
    with pytest.raises(NotAllowed):
        give_first_password(by=treasurer, person=owner, password=FIRST)


def test_it_does_not_count_as_a_second_signature(
    owner: Person, volunteer: Person, wren: Person, client_for: ForPerson
) -> None:
    form = {
        "on": TODAY.isoformat(), "place": "jar by the door", "face_500": "2", "second_name": "wren", "second_password": FIRST,
    }  # fmt: skip
    page = client_for(volunteer).post(reverse("gifts:count-new"), form).content.decode()
    assert "still signs in with a password that somebody else gave them" in page
