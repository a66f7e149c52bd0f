"""Roles, powers and the sentences that name who may."""

import pytest
from django.contrib.auth.models import AnonymousUser, Group

from fund.access.actions import add_person, found_crew, install_roles, set_roles
from fund.access.guards import may, require, two_people
from fund.access.models import Person
from fund.access.powers import POWERS, ROLES, no_power_sentence
from fund.refusal import AlreadyDone, BadInput, NotAllowed, TwoPeopleNeeded
from fund.trail.models import TrailLine

PASSWORD = "quiet road to the mill"


def test_every_power_names_known_roles() -> None:
    for power in POWERS.values():
        assert power.roles
        assert set(power.roles) <= set(ROLES)


# The duties table the fund goes by (common practice for three people and an accountant).
@pytest.mark.parametrize(
    ("power", "roles"),
    [
        ("receipt.enter", {"owner", "treasurer", "volunteer"}),
        ("gift.import", {"treasurer"}),
        ("repair.approve", {"owner", "treasurer"}),
        ("repay.release", {"owner"}),
        ("month.publish", {"owner"}),
        ("household.papers", {"owner", "treasurer", "screener"}),
        ("gift.names", {"owner", "treasurer", "accountant"}),
    ],
)
def test_duties_are_given_to_these_roles(power: str, roles: set[str]) -> None:
    assert set(POWERS[power].roles) == roles


def test_a_refusal_names_who_may(volunteer: Person) -> None:
    with pytest.raises(NotAllowed) as refusal:
        require(volunteer, "repair.approve")
    assert refusal.value.sentence == "Only an owner or treasurer may approve a repair. Ask one of them."
    assert no_power_sentence("gift.import").startswith("Only a treasurer may post a payout")


def test_someone_who_left_may_do_nothing(volunteer: Person) -> None:
    volunteer.is_active = False
    assert not may(volunteer, "today.see")
    assert not may(AnonymousUser(), "today.see")


def test_one_person_may_not_do_both_halves(owner: Person, treasurer: Person) -> None:
    two_people(owner, treasurer, "count cash")
    with pytest.raises(TwoPeopleNeeded, match="two different people to count cash"):
        two_people(owner, owner, "count cash")


def test_the_first_person_founds_the_crew_once(db: None) -> None:
    words = {"username": "maren", "first_name": "Maren", "last_name": "Holt", "password": PASSWORD}
    found_crew(**words, roles=["owner"])
    with pytest.raises(AlreadyDone):
        found_crew(**{**words, "username": "odell"}, roles=["owner"])


def test_an_owner_adds_people_and_the_trail_knows(owner: Person, treasurer: Person) -> None:
    person = add_person(
        by=owner, username="rue", first_name="Rue", last_name="Ames", password=PASSWORD, roles=["volunteer"]
    )
    assert may(person, "receipt.enter")
    assert TrailLine.objects.get(action="people.add").by == owner
    with pytest.raises(NotAllowed):
        add_person(
            by=treasurer, username="x", first_name="X", last_name="Y", password=PASSWORD, roles=["owner"]
        )


@pytest.mark.parametrize(
    ("changes", "refusal"),
    [
        ({"roles": ["boss"]}, BadInput),
        ({"roles": []}, BadInput),
        ({"password": "short"}, BadInput),
        ({"password": "password1234"}, BadInput),
        ({"username": "Maren"}, AlreadyDone),
    ],
)
def test_a_person_is_refused_with_a_sentence(
    owner: Person, changes: dict[str, object], refusal: type[Exception]
) -> None:
    words = {
        "username": "rue",
        "first_name": "Rue",
        "last_name": "Ames",
        "password": PASSWORD,
        "roles": ["volunteer"],
    }
    with pytest.raises(refusal):
        add_person(by=owner, **{**words, **changes})  # type: ignore[arg-type]
    assert not Person.objects.filter(username="rue").exists()


def test_the_last_door_stays_open(owner: Person, volunteer: Person) -> None:
    with pytest.raises(BadInput):
        set_roles(by=owner, person=owner, roles=["volunteer"])
    set_roles(by=owner, person=volunteer, roles=["volunteer", "screener"])
    assert may(Person.objects.get(pk=volunteer.pk), "household.screen")


def test_roles_can_be_installed_again(db: None) -> None:
    install_roles()
    assert set(Group.objects.values_list("name", flat=True)) == set(ROLES)
