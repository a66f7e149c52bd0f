"""A decision counts for the request as it stood on the page; what changed meanwhile is read again first."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.queries_read import CHANGED, mark_of
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts
from jobs.intake.actions import answer_relation
from jobs.intake.models import Application
from tests.jobs.intake.people import ready_to_decide
from tests.jobs.pressed import press, read_on

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
URL = "/crew/intake/A-0001/decide/"
NO = {"tie": "no", "verdict": "withdrawn", "words": "They found another way.", "on": "2026-03-15"}
YES = {"tie": "no", "verdict": "eligible", "words": "Stub of March fits.", "on": "2026-03-15"}


@pytest.fixture
def request_of_three(screener: Person) -> Application:
    return ready_to_decide(screener)


def test_of_two_screeners_with_the_page_open_the_second_reads_what_the_first_decided(
    request_of_three: Application, client_for: ClientFor, screener: Person, treasurer: Person
) -> None:
    first, second = client_for(screener), client_for(treasurer)
    older = read_on(second, URL)
    assert press(first, URL, YES).status_code == 302
    answer = second.post(URL, NO | {"read": older})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert CHANGED in page
    assert "They found another way." in page
    assert EligibilityDecision.objects.get().verdict == "eligible"
    assert press(second, URL, NO).status_code == 302
    assert [row.verdict for row in EligibilityDecision.objects.order_by("pk")] == ["eligible", "withdrawn"]


def more_income(by: Person, request: Application) -> None:
    pay = IncomeFacts(kind="pay", period="monthly", amount=Money(900_00))
    replace_incomes(by=by, household=request.household, incomes=[pay])


def another_paper(by: Person, request: Application) -> None:
    sight(by=by, household=request.household, kind="pay stub", document_date=date(2026, 3, 9))


@pytest.mark.parametrize("change", [more_income, another_paper])
def test_figures_and_papers_that_came_meanwhile_are_read_first(
    request_of_three: Application,
    client_for: ClientFor,
    screener: Person,
    treasurer: Person,
    change: Callable[[Person, Application], None],
) -> None:
    client = client_for(screener)
    older = read_on(client, URL)
    change(treasurer, request_of_three)
    assert CHANGED in client.post(URL, YES | {"read": older}).content.decode()
    assert not EligibilityDecision.objects.exists()
    assert read_on(client, URL) != older


def test_a_page_without_its_mark_decides_nothing(
    request_of_three: Application, client_for: ClientFor, screener: Person
) -> None:
    assert client_for(screener).post(URL, YES).status_code == 422
    assert not EligibilityDecision.objects.exists()


def test_the_mark_is_the_same_for_the_same_content_and_the_action_needs_none(
    request_of_three: Application, screener: Person
) -> None:
    assert mark_of(request_of_three) == mark_of(Application.objects.get())
    answer_relation(by=screener, application=request_of_three, tie=False)
    assert decide(by=screener, application=request_of_three, verdict="eligible").verdict == "eligible"
