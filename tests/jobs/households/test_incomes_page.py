from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from jobs.households.models import Household
from jobs.households.queries import income_facts
from jobs.households.rules import IncomeFacts
from tests.jobs.intake.people import application_of_three

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]
URL = "/crew/households/H-0001/incomes/"
ROW = {"member": "1", "kind": "pay", "amount": "", "period": "two weeks", "weeks": "52"}


@pytest.fixture
def household(screener: Person) -> Household:
    return application_of_three(screener).household


def sent(*rows: dict[str, str], **more: str) -> dict[str, str]:
    data = {"incomes-TOTAL_FORMS": str(len(rows)), "incomes-INITIAL_FORMS": "0", **more}
    return data | {
        f"incomes-{n}-{name}": value for n, row in enumerate(rows) for name, value in (ROW | row).items()
    }


def test_incomes_are_entered_and_empty_rows_are_left_out(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    hourly = {"amount": "$14.50", "period": "hourly", "hours": "37.5", "member": "2", "weeks": "40"}
    answer = client_for(screener).post(URL, sent({"amount": "1,548.00"}, {}, hourly))
    assert answer["Location"] == "/crew/households/H-0001/"
    assert income_facts(household) == [
        IncomeFacts(kind="pay", period="two weeks", amount=Money(154_800)),
        IncomeFacts(kind="pay", period="hourly", amount=Money(1_450), hours=3750, weeks=40, member=2),
    ]
    page = client_for(screener).get(URL).content.decode()
    assert 'value="1548.00"' in page
    assert 'value="37.5"' in page


@pytest.mark.parametrize(
    ("row", "kept", "words"),
    [
        ({"amount": "abc"}, "abc", "“abc” is not an amount of money"),
        ({"amount": "-5"}, "-5", "An income cannot be below zero: -5.00"),
        ({"amount": "10.555"}, "10.555", "has parts of a cent"),
        ({"amount": "15", "period": "hourly", "hours": "200"}, "200", "more than the 168 hours"),
        ({"amount": "15", "period": "hourly", "hours": "many"}, "many", "is not a number of hours"),
        ({"amount": "15", "period": "hourly"}, "15", "also needs the hours a week"),
        ({"amount": "15", "weeks": "70"}, "70", "This must be 52 or less."),
        ({"amount": "900", "period": "year to date"}, "900", "number of weeks it covers"),
        ({"amount": "900", "period": "year to date", "weeks_so_far": "x"}, "x", "Write a whole number"),
        ({"hours": "40", "note": "the mill"}, "the mill", "Write an amount"),
        ({"amount": "1", "member": "9"}, "1", "Whose: "),
    ],
)
def test_a_bad_income_gets_a_plain_sentence_and_stays_typed(
    client_for: ClientFor,
    screener: Person,
    household: Household,
    row: dict[str, str],
    kept: str,
    words: str,
) -> None:
    answer = client_for(screener).post(URL, sent({"amount": "548.00"}, row, no_income_words="none"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Row 2. " in page
    assert words in page
    assert f'value="{kept}"' in page
    assert 'value="548.00"' in page
    assert not household.incomes.exists()


def test_a_row_ticked_to_be_taken_out_is_not_judged(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    answer = client_for(screener).post(URL, sent({"amount": "abc", "DELETE": "on"}, {"amount": "1"}))
    assert answer.status_code == 302
    assert household.incomes.count() == 1


def test_work_it_out_shows_the_worksheet_and_saves_nothing(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    answer = client_for(screener).post(URL, sent({"amount": "2101.55"}, preview="page"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "2,101.55 every two weeks × 26 = 54,640.30" in page
    assert "Over by $0.03 a month at size 3 ($0.30 a year)." in page
    assert 'value="2101.55"' in page
    assert not household.incomes.exists()


def test_the_live_worksheet_is_only_a_piece_of_the_page(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    client = client_for(screener)
    live = {"HX-Request": "true"}
    good = client.post(URL, sent({"amount": "548.00"}, preview="live"), headers=live)
    assert good.content.decode().strip().startswith("<p")
    assert "14,248.00" in good.content.decode()
    bad = client.post(URL, sent({"amount": "abc"}, preview="live"), headers=live)
    assert bad.status_code == 200
    assert "Row 1. Amount before taxes: “abc” is not an amount" in bad.content.decode()
    assert not household.incomes.exists()


def test_the_words_for_no_income_are_kept(
    client_for: ClientFor, screener: Person, household: Household
) -> None:
    answer = client_for(screener).post(URL, sent({}, no_income_words="A sister pays the rent."))
    assert answer.status_code == 302
    household.refresh_from_db()
    assert household.no_income_words == "A sister pays the rent."
    assert "A sister pays the rent." in client_for(screener).get(URL).content.decode()


def test_more_rows_keep_what_was_typed(client_for: ClientFor, screener: Person, household: Household) -> None:
    answer = client_for(screener).post(URL, sent({"amount": "abc"}, more="yes", no_income_words="so far"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="abc"' in page
    assert "so far" in page
    assert 'name="incomes-1-amount"' in page
    assert "not saved" not in page
