"""The owner's pages of crew members."""

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from fund.access.guards import roles_of
from fund.access.models import Person

ForPerson = Callable[[Person], Client]
NEW = {
    "username": "wren",
    "first_name": "Wren",
    "last_name": "Adeyemi",
    "password": "four rusty calipers",
    "roles": ["volunteer", "screener"],
}


def test_the_owner_adds_a_crew_member_with_roles(owner: Person, client_for: ForPerson) -> None:
    answer = client_for(owner).post(reverse("access:person-add"), NEW, follow=True)
    assert "Wren Adeyemi can now sign in as wren." in answer.content.decode()
    assert roles_of(Person.objects.get(username="wren")) == {"volunteer", "screener"}


def test_a_taken_sign_in_name_is_refused_and_nothing_typed_is_lost(
    owner: Person, client_for: ForPerson
) -> None:
    page = client_for(owner).post(reverse("access:person-add"), {**NEW, "username": "maren"}).content.decode()
    assert "already a crew member who signs in as" in page
    assert 'value="Adeyemi"' in page


def test_the_owner_ends_a_sign_in(owner: Person, volunteer: Person, client_for: ForPerson) -> None:
    address = reverse("access:person", args=["tavi"])
    client_for(owner).post(address, {"roles": ["volunteer"]})
    volunteer.refresh_from_db()
    assert not volunteer.is_active


def test_the_owner_cannot_lock_themselves_out(owner: Person, client_for: ForPerson) -> None:
    address = reverse("access:person", args=["maren"])
    page = client_for(owner).post(address, {"roles": ["volunteer"], "active": "on"}).content.decode()
    assert "cannot take the owner&#x27;s role from yourself" in page
    assert roles_of(Person.objects.get(username="maren")) == {"owner"}


def test_only_the_owner_sees_the_list(owner: Person, treasurer: Person, client_for: ForPerson) -> None:
    assert "Maren Holt" in client_for(owner).get(reverse("access:people")).content.decode()
    answer = client_for(treasurer).get(reverse("access:people"))
    assert answer.status_code == 403
    assert "Only an owner may add crew members" in answer.content.decode()
