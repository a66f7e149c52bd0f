from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.money import Money
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation as answer_on_repair
from jobs.approvals.models import Approval
from jobs.eligibility.queries_read import mark_of
from jobs.households.actions import add_member, replace_incomes
from jobs.households.models import Household
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from tests.jobs.intake.people import PAY, TWO_CHILDREN, application_of_three
from tests.jobs.intake.public import sent_by_form
from tests.jobs.workshop import eligible, money_in_bank, priced

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Person], Client]


@pytest.fixture
def twice(screener: Person) -> None:
    application_of_three(screener, plate="LRK 2040")
    sent_by_form("Ozias Thimble")


def test_the_screener_sees_why_a_request_may_be_known_already(
    twice: None, client_for: ClientFor, screener: Person, volunteer: Person
) -> None:
    page = client_for(screener).get("/crew/intake/A-0002/").content.decode()
    assert "May be known already" in page
    assert "Alder, H-0001: the same license plate; the same address." in page
    assert "May be known already" in client_for(screener).get("/crew/intake/A-0002/decide/").content.decode()
    assert "May be known already" not in client_for(volunteer).get("/crew/intake/A-0002/").content.decode()


def test_both_records_stand_side_by_side_and_one_answer_merges_them(
    twice: None, client_for: ClientFor, screener: Person
) -> None:
    client, url = client_for(screener), "/crew/intake/A-0002/same/H-0001/"
    page = client.get(url).content.decode()
    for words in ("Wilhelmina Quarrender", "Ozias Thimble", "They have the same license plate", "A-0001"):
        assert words in page
    refused = client.post(url, {"answer": "same", "reason": ""})
    assert refused.status_code == 422
    assert (
        client.post(url, {"answer": "same", "reason": "Her husband."})["Location"] == "/crew/intake/A-0002/"
    )
    assert Application.objects.get(code="A-0002").household.code == "H-0001"
    page = client.get("/crew/intake/A-0002/").content.decode()
    assert "Merged records" in page
    assert "May be known already" not in page


def test_after_merging_the_page_for_deciding_warns_until_people_and_incomes_were_saved(
    twice: None, client_for: ClientFor, screener: Person
) -> None:
    client, url = client_for(screener), "/crew/intake/A-0002/decide/"
    household = Household.objects.get(code="H-0001")
    replace_incomes(by=screener, household=household, incomes=[PAY])
    add_member(by=screener, household=household, member=TWO_CHILDREN[1])
    before = mark_of(Application.objects.get(code="A-0001"))
    words = "Merged, and not looked through yet"
    assert words not in client.get(url).content.decode()
    client.post("/crew/intake/A-0002/same/H-0001/", {"answer": "same", "reason": "Her husband."})
    page = client.get(url).content.decode()
    assert words in page
    assert "/crew/households/H-0002/" in page
    assert mark_of(Application.objects.get(code="A-0001")) != before
    replace_incomes(by=screener, household=household, incomes=[PAY, PAY])
    assert words in client.get(url).content.decode()
    add_member(by=screener, household=household, member=TWO_CHILDREN[2])
    assert words not in client.get(url).content.decode()


def test_two_households_are_not_asked_about_again(
    twice: None, client_for: ClientFor, screener: Person
) -> None:
    client = client_for(screener)
    typed = {"answer": "different", "reason": "He bought the car of her."}
    assert client.post("/crew/intake/A-0002/same/H-0001/", typed).status_code == 302
    assert "May be known already" not in client.get("/crew/intake/A-0002/").content.decode()
    assert Household.objects.filter(merged_into=None).count() == 2


def test_records_are_parted_on_their_own_page(twice: None, client_for: ClientFor, screener: Person) -> None:
    client = client_for(screener)
    client.post("/crew/intake/A-0002/same/H-0001/", {"answer": "same", "reason": "Her husband."})
    url = f"/crew/intake/merged/{Merging.objects.get().pk}/"
    page = client.get(url).content.decode()
    assert "Her husband." in page
    assert "requests 1, vehicles 1" in page
    assert client.post(url, {"reason": "He is not."})["Location"] == "/crew/households/H-0001/"
    assert Application.objects.get(code="A-0002").household.code == "H-0002"
    assert "Taken back" in client.get(url).content.decode()
    assert client.post(url, {"reason": "Again."}).status_code == 422


def test_the_place_in_line_is_explained_on_the_request(
    twice: None, client_for: ClientFor, volunteer: Person
) -> None:
    page = client_for(volunteer).get("/crew/intake/A-0002/").content.decode()
    assert (
        "Place 1 of 2. 150 points: 100 because it is not safe to drive, 30 because it is needed to get to work, "
        "20 because other ways are hard."
    ) in page


def test_a_household_that_gives_to_the_fund_is_helped_by_the_same_rules_and_the_approver_sees_it(
    client_for: ClientFor, screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    giver = add_supporter(by=treasurer, name="Perpetua Vane")
    for month in (1, 2, 3):
        day = date(2026, month, 10)
        record_gift(by=treasurer, kind="transfer", received_on=day, amount=Money(50_00), supporter=giver)
    order = priced(volunteer, eligible(screener, "Perpetua Vane"))
    answer_on_repair(by=owner, repair=order, tie=False)
    page = client_for(owner).get(f"/crew/repairs/{order.number}/approval/").content.decode()
    assert "S-0001 gave $150.00 in all. It is decided by the same rules" in page
    approve(by=owner, repair=order)
    assert Approval.objects.get().snapshot["household_gives"] == "gave $150.00 in all"
    request = client_for(screener).get(f"/crew/intake/{order.application.code}/").content.decode()
    assert "Gifts change no place." in request
