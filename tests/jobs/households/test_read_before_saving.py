"""People and incomes are written anew only over what stood on the page; what came meanwhile is told first."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.refusal import NotReady
from jobs.households.actions import add_income, add_member, replace_incomes
from jobs.households.models import Household
from jobs.households.queries_read import CHANGED, incomes_mark
from jobs.households.rules import IncomeFacts, MemberFacts
from tests.jobs.intake.people import PAY, application_of_three
from tests.jobs.pressed import read_on

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
INCOMES = "/crew/households/H-0001/incomes/"
PEOPLE = "/crew/households/H-0001/people/"
BENEFIT = IncomeFacts(kind="benefit", period="monthly", amount=Money(310_00))


@pytest.fixture
def household(screener: Person) -> Household:
    return application_of_three(screener).household


def incomes(*amounts: str, **more: str) -> dict[str, str]:
    sent = {"incomes-TOTAL_FORMS": str(len(amounts)), "incomes-INITIAL_FORMS": "0", **more}
    row = {"member": "1", "kind": "pay", "period": "two weeks", "weeks": "52"}
    for number, amount in enumerate(amounts):
        sent |= {f"incomes-{number}-{name}": value for name, value in (row | {"amount": amount}).items()}
    return sent


def test_an_income_that_came_meanwhile_is_told_and_not_overwritten(
    client_for: ClientFor, screener: Person, treasurer: Person, household: Household
) -> None:
    replace_incomes(by=screener, household=household, incomes=[PAY])
    client = client_for(treasurer)
    older = read_on(client, INCOMES)
    add_income(by=screener, household=household, income=BENEFIT)
    answer = client.post(INCOMES, incomes("612.00", read=older))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert CHANGED in page
    assert "310.00" in page
    assert 'value="612.00"' in page
    assert [row.amount for row in household.incomes.all()] == [PAY.amount, BENEFIT.amount]
    assert f'name="read" value="{incomes_mark(household)}"' in page
    assert client.post(INCOMES, incomes("612.00", "310.00", read=incomes_mark(household))).status_code == 302
    assert household.incomes.count() == 2


def test_the_mark_stays_that_of_the_opened_page_while_rows_are_added_or_worked_out(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    client = client_for(screener)
    older = read_on(client, INCOMES)
    add_income(by=screener, household=household, income=BENEFIT)
    for button in ({"more": "yes"}, {"preview": "page"}):
        page = client.post(INCOMES, incomes("612.00", read=older, **button)).content.decode()
        assert f'name="read" value="{older}"' in page
    page = client.post(INCOMES, incomes("abc", read=older)).content.decode()
    assert f'name="read" value="{older}"' in page


def test_words_for_no_income_that_came_meanwhile_are_told_too(screener: Person, household: Household) -> None:
    older = incomes_mark(household)
    replace_incomes(by=screener, household=household, incomes=[], no_income_words="A sister pays the rent.")
    with pytest.raises(NotReady, match="Somebody else changed") as refused:
        replace_incomes(by=screener, household=household, incomes=[], read=older)
    assert refused.value.details == [
        "No income is entered.",
        "How rent, food and phone are paid: A sister pays the rent.",
    ]


def test_a_person_who_came_meanwhile_is_told_and_stays(
    client_for: ClientFor, screener: Person, treasurer: Person, household: Household
) -> None:
    client = client_for(treasurer)
    older = read_on(client, PEOPLE)
    add_member(
        by=screener, household=household, member=MemberFacts(name="Newborn Quarrender", relation="child")
    )
    sent = {"people-TOTAL_FORMS": "1", "people-INITIAL_FORMS": "0", "read": older}
    sent |= {
        "people-0-name": "Wilhelmina Thorne",
        "people-0-relation": "applicant",
        "people-0-adult": "on",
        "people-0-number": "1",
    }
    answer = client.post(PEOPLE, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert CHANGED in page
    assert "Person 4: Newborn Quarrender, " in page
    assert 'value="Wilhelmina Thorne"' in page
    assert household.members.count() == 4
