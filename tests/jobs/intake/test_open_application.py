import re
from datetime import date
from typing import Any

import pytest

from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from fund.trail.models import TrailLine
from jobs.households.models import Household
from jobs.households.rules import MemberFacts
from jobs.intake.actions import open_application
from jobs.intake.models import Application
from tests.jobs.intake.people import TWO_CHILDREN, application_of_three, asking

pytestmark = pytest.mark.django_db


def test_a_volunteer_takes_down_a_request_with_its_household(volunteer: Person) -> None:
    application = application_of_three(volunteer)
    household = application.household
    assert (application.code, household.code, household.alias) == ("A-0001", "H-0001", "Alder")
    assert application.state == "waiting"
    assert application.submitted_on == date(2026, 3, 15)
    assert [m.number for m in household.members.all()] == [1, 2, 3]
    assert application.consents == {
        "data": True, "work": True, "road test": True, "story": False, "photos": False, "children": False,
    }  # fmt: skip


def test_without_a_list_of_people_it_is_the_person_asking_alone(volunteer: Person) -> None:
    application = open_application(by=volunteer, asking=asking())
    assert [m.name for m in application.household.members.all()] == ["Wilhelmina Quarrender"]


def test_the_person_asking_need_not_be_named_twice(volunteer: Person) -> None:
    people = [MemberFacts(name="", relation="applicant", adult=True)]
    application = open_application(by=volunteer, asking=asking(), members=people)
    assert application.household.members.get().name == "Wilhelmina Quarrender"


def test_the_next_household_has_the_next_alias_and_one_may_be_chosen(screener: Person) -> None:
    first = open_application(by=screener, asking=asking())
    chosen = open_application(by=screener, asking=asking(name="Ozias Thimblethwaite"), alias="Cedar")
    third = open_application(by=screener, asking=asking(name="Perpetua Vane"))
    fourth = open_application(by=screener, asking=asking(name="Crispin Oakapple"))
    aliases = [a.household.alias for a in (first, chosen, third, fourth)]
    assert aliases == ["Alder", "Cedar", "Birch", "Dogwood"]


@pytest.mark.parametrize(
    ("alias", "words"), [("Quarrender", "not in the list"), ("Alder", "in use while others are free")]
)
def test_an_alias_outside_the_list_or_in_use_is_refused(screener: Person, alias: str, words: str) -> None:
    open_application(by=screener, asking=asking())
    with pytest.raises(BadInput, match=words):
        open_application(by=screener, asking=asking(), alias=alias)
    assert Household.objects.count() == 1


def test_the_trail_knows_code_and_alias_but_no_name(volunteer: Person) -> None:
    application_of_three(volunteer)
    told = " ".join(f"{line.subject} {line.text} {line.data}" for line in TrailLine.objects.all())
    assert "A-0001" in told
    assert "Alder" in told
    assert not re.search("Quarrender|Wilhelmina|Cooper|555|Grinds", told)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": " "}, "name of the person who asks"),
        ({"complaint": ""}, "in the person's own words"),
        ({"phone": "", "address": ""}, "so that we can answer"),
        ({"consents": {"work": True}}, "nothing of this can be kept"),
        ({"vehicle_year": 1492}, "model year is from 1900 to 2027"),
        ({"vehicle_class": "spaceship"}, "not a known kind of vehicle"),
        ({"area": "guam"}, "not a known area"),
        ({"drivable": "maybe"}, "whether it drives"),
        ({"need": "fun"}, "not a known need"),
        ({"channel": "owl"}, "not a known way"),
        ({"answers": {"favorite color": "yes"}}, "not one that we ask"),
        ({"answers": {"insured": "perhaps"}}, "not one that we ask"),
        ({"email": "nobody"}, "is not an e-mail address"),
        ({"language": "xx"}, "language"),
    ],
)
def test_a_request_that_cannot_be_used_is_refused_in_words(
    volunteer: Person, changes: dict[str, Any], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        open_application(by=volunteer, asking=asking(**changes))
    assert not Application.objects.exists()
    assert not Household.objects.exists()


def test_a_day_to_come_is_refused(volunteer: Person) -> None:
    with pytest.raises(BadInput, match="still to come"):
        open_application(by=volunteer, asking=asking(), submitted_on=date(2026, 3, 16))


@pytest.mark.parametrize(
    ("people", "words"),
    [
        (TWO_CHILDREN[1:], "Exactly one person"),
        ([*TWO_CHILDREN, TWO_CHILDREN[0]], "here it is 2"),
        ([TWO_CHILDREN[0], MemberFacts(name="", relation="child")], "needs a name"),
        ([TWO_CHILDREN[0], MemberFacts(name="Zed", relation="child", birth_year=2030)], "from 1900 to 2026"),
        ([TWO_CHILDREN[0], MemberFacts(name="Zed", relation="cat")], "how Zed belongs"),
    ],
)
def test_an_impossible_household_is_refused(volunteer: Person, people: list[MemberFacts], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        open_application(by=volunteer, asking=asking(), members=people)
    assert not Household.objects.exists()


def test_a_known_household_asks_again_and_the_same_words_are_taken_once(screener: Person) -> None:
    first = application_of_three(screener)
    again = open_application(
        by=screener, asking=asking(complaint="Will not start."), household=first.household
    )
    assert again.household == first.household
    with pytest.raises(AlreadyDone, match="already has an open request"):
        open_application(by=screener, asking=asking(), household=first.household)


def test_the_accountant_takes_no_requests(accountant: Person) -> None:
    with pytest.raises(NotAllowed, match="screener, volunteer, owner or treasurer"):
        open_application(by=accountant, asking=asking())
