from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.households.models import Household
from jobs.intake.models import Application
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]

TYPED = {
    "submitted_on": "2026-03-14",
    "channel": "phone",
    "name": "Wilhelmina Quarrender",
    "phone": "555 0142 77",
    "language": "en",
    "area": "contiguous",
    "vehicle_class": "wagon",
    "vehicle_year": "2009",
    "complaint": "Cords showing on both front tires.",
    "drivable": "unsafe",
    "need": "work",
    "ask_lives_here": "yes",
    "ask_insured": "no",
    "yes_data": "on",
    "yes_work": "on",
    "people-TOTAL_FORMS": "3",
    "people-INITIAL_FORMS": "0",
    "people-0-name": "Ottoline",
    "people-0-relation": "child",
    "people-0-birth_year": "2015",
    "people-1-name": "",
    "people-1-relation": "child",
    "people-2-name": "Aunt Barnaby",
    "people-2-relation": "other kin",
    "people-2-adult": "on",
    "incomes-TOTAL_FORMS": "2",
    "incomes-INITIAL_FORMS": "0",
    "incomes-0-member": "3",
    "incomes-0-kind": "benefit",
    "incomes-0-period": "monthly",
    "incomes-0-amount": "913.00",
    "incomes-1-member": "1",
    "incomes-1-kind": "pay",
    "incomes-1-period": "two weeks",
}


def test_a_call_is_taken_down_though_the_number_of_rows_was_lost(
    client_for: ClientFor, volunteer: Person
) -> None:
    lost = {name: value for name, value in TYPED.items() if not name.endswith("TOTAL_FORMS")}
    assert client_for(volunteer).post("/crew/intake/new/", lost).status_code == 302
    assert Application.objects.get().household.members.count() == 3


def test_a_volunteer_takes_down_a_telephone_call(client_for: ClientFor, volunteer: Person) -> None:
    answer = client_for(volunteer).post("/crew/intake/new/", TYPED)
    application = Application.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, "/crew/intake/A-0001/")
    people = application.household.members.all()
    assert [(m.name, m.relation, m.adult) for m in people] == [
        ("Wilhelmina Quarrender", "applicant", True),
        ("Ottoline", "child", False),
        ("Aunt Barnaby", "other kin", True),
    ]
    assert application.answers["insured"] == "no"
    assert application.consents["work"]
    assert not application.consents["photos"]
    assert str(application.submitted_on) == "2026-03-14"
    income = application.household.incomes.get()
    assert (income.member.name, income.kind, income.amount) == ("Aunt Barnaby", "benefit", Money(913_00))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"complaint": ""}, "What is wrong with it?"),
        ({"yes_data": ""}, "nothing of this can be kept"),
        ({"phone": ""}, "so that we can answer"),
        ({"people-0-birth_year": "2091"}, "This year has not come yet"),
        ({"people-0-birth_year": "last spring"}, "Write a whole number"),
        ({"people-1-birth_year": "2020"}, "Row 2. Name: "),
        ({"vehicle_year": "1492"}, "This must be 1900 or more"),
        ({"submitted_on": "2026-03-20"}, "has not come yet"),
        ({"drivable": ""}, "Choose one."),
        ({"plate": "LRK 204", "vehicle_year": ""}, "Write the model year of the vehicle too."),
        ({"birth_date": "2010-05-05"}, "A parent or guardian asks and signs"),
        ({"birth_date": "2027-01-01"}, "Write a day that has been"),
        ({"incomes-0-amount": "a bit"}, "Write the amount like 450"),
        ({"incomes-0-period": "hourly"}, "needs the hours a week"),
        ({"yes_children": "on"}, "Children are in photos only where photos are agreed to"),
        ({"need": ""}, "Choose one."),
    ],
)
def test_a_mistake_comes_back_in_words_with_all_that_was_typed(
    client_for: ClientFor, volunteer: Person, changes: dict[str, str], words: str
) -> None:
    typed = {**TYPED, "need_words": "She loses the night shift.", **changes}
    answer = client_for(volunteer).post("/crew/intake/new/", typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "She loses the night shift." in page
    assert 'value="Aunt Barnaby"' in page
    assert not Household.objects.exists()


def test_more_people_adds_rows_and_judges_nothing_yet(client_for: ClientFor, volunteer: Person) -> None:
    typed = {**TYPED, "complaint": "", "yes_work": "on", "more": "yes"}
    answer = client_for(volunteer).post("/crew/intake/new/", typed)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Not saved" not in page
    assert 'name="people-5-name"' in page
    assert 'value="Ottoline"' in page
    assert 'value="Wilhelmina Quarrender"' in page
    assert page.count("checked") >= 4  # two answers, whether it drives, the consents
    assert not Household.objects.exists()


def test_a_known_household_asks_again_without_telling_all_anew(
    client_for: ClientFor, screener: Person
) -> None:
    known = application_of_three(screener).household
    page = client_for(screener).get("/crew/intake/new/H-0001/").content.decode()
    assert 'name="phone"' not in page
    answer = client_for(screener).post("/crew/intake/new/H-0001/", TYPED)
    assert answer["Location"] == "/crew/intake/A-0002/"
    assert known.applications.count() == 2
    assert known.members.count() == 3


def test_the_same_words_twice_are_refused_on_the_page(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener, complaint=TYPED["complaint"])
    answer = client_for(screener).post("/crew/intake/new/H-0001/", TYPED)
    assert answer.status_code == 422
    assert "already has an open request with these words" in answer.content.decode()


def test_strangers_see_nothing_and_the_accountant_is_told_who_may(
    client: Client, client_for: ClientFor, accountant: Person
) -> None:
    assert client.get("/crew/intake/new/").status_code == 404
    refused = client_for(accountant).get("/crew/intake/new/")
    assert refused.status_code == 403
    assert "screener" in refused.content.decode()
