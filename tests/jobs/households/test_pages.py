from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from fund.access.models import Person
from jobs.households.actions import replace_incomes
from jobs.households.models import Household, Sighting
from jobs.intake.actions import open_application
from tests.jobs.intake.people import PAY, application_of_three, asking, eligible

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
PAGES = ["", "H-0001/", "H-0001/contact/", "H-0001/people/", "H-0001/incomes/", "H-0001/papers/"]


@pytest.mark.parametrize("page", PAGES)
def test_volunteers_and_the_accountant_see_no_household(
    client: Client, client_for: ClientFor, screener: Person, volunteer: Person, accountant: Person, page: str
) -> None:
    application_of_three(screener)
    url = f"/crew/households/{page}"
    assert client.get(url).status_code == 404
    assert client_for(volunteer).get(url).status_code == 403
    assert client_for(accountant).get(url).status_code == 403
    assert client_for(screener).get(url).status_code == 200


def test_the_list_shows_aliases_and_no_name(client_for: ClientFor, screener: Person) -> None:
    eligible(screener)
    for url in ("/crew/households/", "/crew/households/?format=csv"):
        text = client_for(screener).get(url).getvalue().decode()
        assert "Alder" in text
        assert "eligible" in text
        assert "48 states and D.C." in text
        assert "Quarrender" not in text


def test_a_household_is_found_by_phone(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    open_application(by=screener, asking=asking(name="Ozias Thimblethwaite", phone="555 0199"))
    page = client_for(screener).get("/crew/households/?words=555+0199").content.decode()
    assert "Birch" in page
    assert "Alder" not in page


def test_the_list_asks_as_little_for_thirty_as_for_one(
    client_for: ClientFor, screener: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(30):
        open_application(by=screener, asking=asking(name=f"Person {number}"))
    client = client_for(screener)
    with django_assert_max_num_queries(8):
        assert "30 rows" in client.get("/crew/households/").content.decode()


def test_the_page_shows_people_worksheet_papers_and_decisions(
    client_for: ClientFor, screener: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    eligible(screener)
    client = client_for(screener)
    with django_assert_max_num_queries(26):
        page = client.get("/crew/households/H-0001/").content.decode()
    for words in (
        "Ottoline Quarrender",
        "548.00 every two weeks × 26 = 14,248.00",
        "Under the line by $3,366 a month at size 3",
        "Pay stub",
        "valid until 2026-06-13",
        "FR Doc. 2026-00755",
    ):
        assert words in page


def test_a_contact_is_changed_and_a_bad_one_comes_back(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    client = client_for(screener)
    typed = {"applicant_name": "Wilhelmina Thorne", "email": "nobody", "area": "alaska", "language": "es"}
    refused = client.post("/crew/households/H-0001/contact/", typed)
    assert refused.status_code == 422
    assert "is not an e-mail address" in refused.content.decode()
    assert 'value="Wilhelmina Thorne"' in refused.content.decode()
    done = client.post("/crew/households/H-0001/contact/", typed | {"email": ""})
    assert done["Location"] == "/crew/households/H-0001/"
    assert Household.objects.get().area == "alaska"


def people(*rows: dict[str, str], **more: str) -> dict[str, str]:
    sent = {"people-TOTAL_FORMS": str(len(rows)), "people-INITIAL_FORMS": "0", **more}
    return sent | {f"people-{n}-{name}": value for n, row in enumerate(rows) for name, value in row.items()}


ASKS = {"name": "Wilhelmina Quarrender", "relation": "applicant", "adult": "on", "number": "1"}
CHILD = {"name": "Ottoline Quarrender", "relation": "child", "birth_year": "2015", "number": "2"}


@pytest.mark.parametrize("count", ["99999", "9" * 5000, "many"])
def test_a_broken_number_of_rows_is_refused_on_a_page_of_sixty_at_most(
    client_for: ClientFor, screener: Person, count: str
) -> None:
    household = application_of_three(screener).household
    sent = people(ASKS, CHILD) | {"people-TOTAL_FORMS": count}
    for more in ({}, {"more": "yes"}):
        answer = client_for(screener).post("/crew/households/H-0001/people/", sent | more)
        page = answer.content.decode()
        assert answer.status_code in (200, 422)
        assert page.count("<fieldset") < 70
        assert more or "rows" in page
    assert household.members.count() == 3


def test_one_person_left_is_told_as_one(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    gone = [CHILD | {"DELETE": "on"}, {"name": "Barnaby", "relation": "child", "number": "3", "DELETE": "on"}]
    page = client_for(screener).post("/crew/households/H-0001/people/", people(ASKS, *gone), follow=True)
    assert " is 1 person." in page.content.decode()


def test_people_are_changed_added_and_taken_out(client_for: ClientFor, screener: Person) -> None:
    household = application_of_three(screener).household
    third = {"name": "Barnaby Quarrender", "relation": "child", "number": "3", "DELETE": "on"}
    sent = people(
        ASKS, CHILD, third, {"name": "Baby", "relation": "child"}, {"name": "", "relation": "child"}
    )
    answer = client_for(screener).post("/crew/households/H-0001/people/", sent)
    assert answer.status_code == 302
    assert [(m.number, m.name) for m in household.members.all()] == [
        (1, "Wilhelmina Quarrender"),
        (2, "Ottoline Quarrender"),
        (4, "Baby"),
    ]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([CHILD], "Exactly one person of the household"),
        ([ASKS, CHILD | {"name": ""}], "Row 2. Name: "),
        ([ASKS, CHILD | {"birth_year": "2030"}], "2030 has not come yet"),
        ([ASKS | {"number": "8"}], "changed meanwhile"),
    ],
)
def test_impossible_people_come_back_in_words(
    client_for: ClientFor, screener: Person, rows: list[dict[str, str]], words: str
) -> None:
    household = application_of_three(screener).household
    answer = client_for(screener).post("/crew/households/H-0001/people/", people(*rows))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert household.members.count() == 3


def test_someone_with_an_income_is_not_taken_out(client_for: ClientFor, screener: Person) -> None:
    household = application_of_three(screener).household
    replace_incomes(by=screener, household=household, incomes=[PAY])
    sent = people({"name": "Ottoline", "relation": "applicant", "number": "2"})
    answer = client_for(screener).post("/crew/households/H-0001/people/", sent)
    assert "Person 1 has an income entered" in answer.content.decode()


def test_more_rows_for_people_keep_what_was_typed(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    sent = people(ASKS, {"name": "Half a na", "relation": "parent"}, more="yes")
    answer = client_for(screener).post("/crew/households/H-0001/people/", sent)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="Half a na"' in page
    assert 'name="people-3-name"' in page


def test_a_paper_is_entered_as_seen(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    typed = {"kind": "benefit letter", "document_date": "2026-03-01", "on": "2026-03-14"}
    answer = client_for(screener).post("/crew/households/H-0001/papers/", typed)
    assert answer["Location"] == "/crew/households/H-0001/"
    paper = Sighting.objects.get()
    assert (paper.kind, paper.document_date, paper.on) == (
        "benefit letter",
        date(2026, 3, 1),
        date(2026, 3, 14),
    )


def test_a_paper_dated_after_it_was_seen_comes_back(client_for: ClientFor, screener: Person) -> None:
    application_of_three(screener)
    typed = {"kind": "pay stub", "document_date": "2026-03-12", "on": "2026-03-11", "note": "July pay"}
    answer = client_for(screener).post("/crew/households/H-0001/papers/", typed)
    assert answer.status_code == 422
    assert "after the day it was seen" in answer.content.decode()
    assert 'value="July pay"' in answer.content.decode()
