from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from fund.access.models import Person
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_terms import settle_gift
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.queries import eligible_applications
from jobs.households.actions import replace_incomes
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.actions_order import take_out_of_turn
from jobs.intake.models import Application
from jobs.intake.models_order import OutOfTurn
from jobs.intake.queries import waiting_list
from jobs.intake.queries_order import place_of
from jobs.repairs.models import RepairOrder
from tests.jobs.intake.people import PAY, asking
from tests.jobs.workshop import checked_in

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 15)


def eligible(by: Person, name: str, **told: Any) -> Application:
    application = open_application(by=by, asking=asking(name=name, **told), submitted_on=DAY)
    household = application.household
    replace_incomes(by=by, household=household, incomes=[PAY])
    sight(by=by, household=household, kind="pay stub", document_date=DAY)
    answer_relation(by=by, application=application, tie=False)
    decide(by=by, application=application, verdict="eligible")
    application.refresh_from_db()
    return application


@pytest.fixture
def three(screener: Person) -> list[Application]:
    """First, second and third in the stated order."""
    return [
        eligible(screener, "Perpetua Vane", drivable="unsafe"),
        eligible(screener, "Crispin Oakapple", need="treatment"),
        eligible(screener, "Ozias Thimble"),
    ]


def ready() -> list[Application]:
    return list(eligible_applications())


def test_who_comes_first_is_taken_without_a_word(three: list[Application], volunteer: Person) -> None:
    assert checked_in(volunteer, three[0]).application == three[0]
    assert checked_in(volunteer, three[1]).application == three[1]
    assert not OutOfTurn.objects.exists()


def test_nobody_is_taken_before_another_without_a_reason(three: list[Application], volunteer: Person) -> None:
    with pytest.raises(NotReady, match=r"Alder \(A-0001\) comes first in the stated waiting order"):
        checked_in(volunteer, three[2])
    assert not RepairOrder.objects.exists()


def test_the_whole_order_of_the_day_is_frozen_with_the_reason(
    three: list[Application], volunteer: Person, owner: Person
) -> None:
    row = take_out_of_turn(
        by=volunteer, application=three[2], ready=ready(), reason="A part that fits was given today."
    )
    assert (row.place, row.on, row.by) == (3, DAY, volunteer)
    assert row.order["weights"] == {"safety": 100, "need": 30, "dependence": 20, "day": 1}
    assert [(line["code"], line["points"]) for line in row.order["rows"]] == [
        ("A-0001", 130),
        ("A-0002", 60),
        ("A-0003", 30),
    ]
    assert row.order["rows"][0]["why"].startswith("130 points: 100 because it is not safe to drive")
    assert checked_in(volunteer, three[2]).application == three[2]
    set_rule(by=owner, name="wait_safety", value="5", valid_from=DAY, reason="Tried out")
    row.refresh_from_db()
    assert row.order["rows"][0]["points"] == 130
    told = TrailLine.objects.get(action="order.out_of_turn")
    assert "from place 3" in told.text
    assert "given today" not in told.text


@pytest.mark.parametrize("sql", ["UPDATE jobs_outofturn SET place = 1", "DELETE FROM jobs_outofturn"])
def test_the_database_keeps_who_was_taken_out_of_turn(
    three: list[Application], volunteer: Person, sql: str
) -> None:
    take_out_of_turn(by=volunteer, application=three[1], ready=ready(), reason="A bay for small cars only.")
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        connection.cursor().execute(sql)


def test_it_is_refused_without_words_twice_in_turn_and_unready(
    three: list[Application], screener: Person, volunteer: Person, accountant: Person
) -> None:
    with pytest.raises(BadInput, match="Write why"):
        take_out_of_turn(by=volunteer, application=three[1], ready=ready(), reason=" ")
    with pytest.raises(NotReady, match="It is the turn of A-0001"):
        take_out_of_turn(by=volunteer, application=three[0], ready=ready(), reason="Kind people")
    undecided = open_application(by=screener, asking=asking(name="Somebody Else"))
    with pytest.raises(NotReady, match="needs an eligible decision"):
        take_out_of_turn(by=volunteer, application=undecided, ready=ready(), reason="Hurry")
    with pytest.raises(NotAllowed):
        take_out_of_turn(by=accountant, application=three[1], ready=ready(), reason="Hurry")
    take_out_of_turn(by=volunteer, application=three[1], ready=ready(), reason="A bay for small cars only.")
    with pytest.raises(AlreadyDone, match="the reason stands"):
        take_out_of_turn(by=volunteer, application=three[1], ready=ready(), reason="Again")


def test_a_cousin_takes_nobody_out_of_turn(three: list[Application], volunteer: Person) -> None:
    answer_relation(by=volunteer, application=three[2], tie=True, words="My cousin")
    with pytest.raises(TwoPeopleNeeded, match="Someone without a tie"):
        take_out_of_turn(by=volunteer, application=three[2], ready=ready(), reason="He asked me to")


def test_a_gift_of_the_household_itself_moves_it_nowhere(
    three: list[Application], treasurer: Person, screener: Person, volunteer: Person
) -> None:
    before = [row.code for row in eligible_applications()], [row.code for row in waiting_list()]
    places = [place_of(row) for row in three]
    last = three[2].household
    giver = add_supporter(by=treasurer, name=last.applicant_name)
    for amount in (50_00, 5_000_00):
        record_gift(by=treasurer, kind="transfer", received_on=DAY, amount=Money(amount), supporter=giver)
    assert before == ([row.code for row in eligible_applications()], [row.code for row in waiting_list()])
    assert places == [place_of(row) for row in three]
    with pytest.raises(NotReady, match="comes first"):
        checked_in(volunteer, three[2])


def test_a_gift_for_a_named_persons_car_moves_that_person_nowhere(
    three: list[Application], treasurer: Person, volunteer: Person
) -> None:
    before = [row.code for row in eligible_applications()], [row.code for row in waiting_list()]
    name = three[2].household.applicant_name
    gift = record_gift(
        by=treasurer,
        kind="transfer",
        received_on=DAY,
        amount=Money(1_000_00),
        supporter=add_supporter(by=treasurer, name="Ada Moss"),
        nature="earmarked",
        terms=f"for the car of {name}",
    )
    assert before == ([row.code for row in eligible_applications()], [row.code for row in waiting_list()])
    settle_gift(by=treasurer, gift=gift, on=DAY, words="“where it is needed”, letter of today")
    assert before == ([row.code for row in eligible_applications()], [row.code for row in waiting_list()])
    with pytest.raises(NotReady, match="comes first"):
        checked_in(volunteer, three[2])


def test_the_page_of_check_in_asks_for_the_reason_and_keeps_it(
    three: list[Application], volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    client = client_for(volunteer)
    page = client.get("/crew/repairs/open/A-0003/").content.decode()
    assert "Alder comes first. Why is Cedar taken before?" in page
    typed = {"year": "2011", "vehicle_class": "wagon", "complaint": "Grinds when I brake."}
    refused = client.post("/crew/repairs/open/A-0003/", typed)
    assert refused.status_code == 422
    assert not RepairOrder.objects.exists()
    answer = client.post("/crew/repairs/open/A-0003/", typed | {"out_of_turn": "Only the small bay is free."})
    assert answer.status_code == 302
    assert OutOfTurn.objects.get().reason == "Only the small bay is free."
    assert RepairOrder.objects.get().application == three[2]


def test_who_is_first_is_not_asked_why(
    three: list[Application], volunteer: Person, client_for: Callable[[Person], Client]
) -> None:
    assert "out_of_turn" not in client_for(volunteer).get("/crew/repairs/open/A-0001/").content.decode()
