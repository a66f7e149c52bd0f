from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from fund.access.models import Person
from fund.money import Money
from jobs.eligibility.models import EligibilityDecision
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts
from jobs.intake.models import RelationAnswer
from tests.jobs.intake.people import application_of_three, eligible, ready_to_decide
from tests.jobs.pressed import press

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
DECIDE = "/crew/intake/A-0001/decide/"
TYPED = {"tie": "no", "verdict": "eligible", "words": "Stub of March fits.", "on": "2026-03-15"}


def test_a_screener_answers_decides_and_the_figures_stay(client_for: ClientFor, screener: Person) -> None:
    application = ready_to_decide(screener)
    client = client_for(screener)
    page = client.get(DECIDE).content.decode()
    assert "Under the line by $3,366 a month at size 3" in page
    answer = press(client, DECIDE, TYPED)
    assert answer["Location"] == "/crew/intake/A-0001/"
    decision = EligibilityDecision.objects.get()
    assert (decision.verdict, decision.words) == ("eligible", "Stub of March fits.")
    replace_incomes(by=screener, household=application.household, incomes=[])
    frozen = client.get(f"/crew/intake/decisions/{decision.pk}/").content.decode()
    assert "548.00 every two weeks × 26 = 14,248.00" in frozen
    assert "Quarrender" not in frozen


def test_an_answer_given_before_is_not_written_twice(client_for: ClientFor, screener: Person) -> None:
    ready_to_decide(screener)
    client = client_for(screener)
    press(client, DECIDE, TYPED | {"verdict": "more papers needed", "words": ""})
    press(client, DECIDE, TYPED)
    assert RelationAnswer.objects.count() == 1


def test_a_tie_stays_on_record_and_the_decision_is_refused(client_for: ClientFor, screener: Person) -> None:
    ready_to_decide(screener)
    answer = press(client_for(screener), DECIDE, TYPED | {"tie": "yes", "tie_words": "My cousin"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Someone without a tie does this" in page
    assert "Stub of March fits." in page
    assert RelationAnswer.objects.get(tie=True).words == "My cousin"
    assert not EligibilityDecision.objects.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"tie": ""}, "This cannot be left empty"),
        ({"tie": "yes"}, "how you are tied to this household"),
        ({"verdict": ""}, "This cannot be left empty"),
        ({"verdict": "not eligible"}, "Choose the reason why it is still not eligible"),
        ({"on": "2026-03-16"}, "has not come yet"),
        ({"on": "2026-03-01"}, "a decision cannot be dated 2026-03-01"),
        ({"reasons": ["helped lately"]}, "speaks against eligible"),
    ],
)
def test_a_wrong_decision_comes_back_with_all_that_was_typed(
    client_for: ClientFor, screener: Person, changes: dict[str, str], words: str
) -> None:
    ready_to_decide(screener)
    answer = press(client_for(screener), DECIDE, TYPED | changes)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "Stub of March fits." in page
    assert not EligibilityDecision.objects.exists()


def test_one_cent_over_the_line_is_refused_on_the_page(client_for: ClientFor, screener: Person) -> None:
    ready_to_decide(screener, [IncomeFacts(kind="pay", period="yearly", amount=Money(5_464_001))])
    answer = press(client_for(screener), DECIDE, TYPED)
    assert answer.status_code == 422
    assert "Over by less than a cent a month at size 3 ($0.01 a year)" in answer.content.decode()
    assert "The rules do not allow eligible" in answer.content.decode()


def test_the_worksheet_of_another_day_uses_the_table_of_that_day(
    client_for: ClientFor, screener: Person
) -> None:
    ready_to_decide(screener)
    client = client_for(screener)
    piece = client.get("/crew/intake/A-0001/worksheet/?on=2025-06-01").content.decode()
    assert "2025 guideline, 48 states and D.C., size 3: 26,650.00" in piece
    none = client.get("/crew/intake/A-0001/worksheet/?on=2022-06-01").content.decode()
    assert "No income table" in none
    assert "2026 guideline" in client.get("/crew/intake/A-0001/worksheet/?on=rubbish").content.decode()


def test_a_second_request_of_a_household_has_its_own_decision_page(
    client_for: ClientFor, screener: Person
) -> None:
    first = eligible(screener).application
    second = application_of_three(screener, complaint="Stalls.")
    type(second).objects.filter(pk=second.pk).update(household=first.household)
    client = client_for(screener)
    assert client.get("/crew/intake/A-0002/decide/").status_code == 200
    assert client.get("/crew/intake/A-0002/worksheet/").status_code == 200


def test_the_income_tables_are_shown_with_their_sources(
    client_for: ClientFor, screener: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    client = client_for(screener)
    with django_assert_max_num_queries(8):
        page = client.get("/crew/intake/income-tables/").content.decode()
    assert "15,960" in page
    assert "Federal Register, January 15, 2026" in page
    assert "12 rows" in page
    file = client.get("/crew/intake/income-tables/?format=csv").getvalue().decode()
    assert "15960.00" in file
    assert "HHS, Annual Update of the HHS Poverty Guidelines" in file


@pytest.mark.parametrize(
    "url",
    [DECIDE, "/crew/intake/A-0001/worksheet/", "/crew/intake/decisions/{}/", "/crew/intake/income-tables/"],
)
def test_only_those_with_the_power_decide_and_see_figures(
    client: Client, client_for: ClientFor, screener: Person, volunteer: Person, accountant: Person, url: str
) -> None:
    url = url.format(eligible(screener).pk)
    assert client.get(url).status_code == 404
    assert client_for(volunteer).get(url).status_code == 403
    assert client_for(accountant).get(url).status_code == 403
    assert client_for(screener).get(url).status_code == 200
