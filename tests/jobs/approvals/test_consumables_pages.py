"""Consumables before a decision, as the mechanic, the owner and the rest of the crew meet them on pages."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from jobs.approvals.actions_consumables import take_consumables
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.repairs.actions import set_cause
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import checked_in, eligible, money_in_bank, part

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
PAGE, TAKE = "/crew/repairs/RO-0001/", "/crew/repairs/RO-0001/consumables/"


def seen(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, path
    return " ".join(answer.content.decode().split())


@pytest.fixture
def repair(screener: Person, volunteer: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 2_000_00)
    found = checked_in(volunteer, eligible(screener), mechanic=volunteer)
    answer_relation(by=volunteer, repair=found, tie=False)
    return found


@pytest.fixture
def taken(repair: RepairOrder, volunteer: Person) -> RepairOrder:
    take_consumables(by=volunteer, repair=repair, amount=Money(30_00), words="brake cleaner")
    return repair


def test_the_mechanic_takes_them_on_the_page_of_the_repair(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    page = seen(client, PAGE)
    assert "Consumables before the decision" in page
    assert f'action="{TAKE}"' in page
    answer = client.post(TAKE, {"amount": "30.00", "words": "brake cleaner"})
    assert (answer.status_code, answer["Location"]) == (302, PAGE)
    assert open_for("RO-0001") == Money(30_00)
    page = seen(client, PAGE)
    assert "$30.00 is promised to RO-0001 for consumables." in page
    assert '<dt>Taken before the decision</dt><dd class="money">30.00</dd>' in page


def test_a_refusal_tells_the_figures_and_keeps_what_was_typed(
    taken: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    answer = client_for(volunteer).post(TAKE, {"amount": "20.01", "words": "penetrating oil"})
    page = " ".join(answer.content.decode().split())
    assert answer.status_code == 422
    assert "$30.00 was taken before; with it $50.01 is above the $50.00 a mechanic may take alone" in page
    assert 'value="20.01"' in page
    assert 'value="penetrating oil"' in page
    assert open_for("RO-0001") == Money(30_00)


def test_at_the_limit_the_form_gives_way_to_what_comes_next(
    taken: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    take_consumables(by=volunteer, repair=taken, amount=Money(20_00), words="oil")
    page = seen(client_for(volunteer), PAGE)
    assert f'action="{TAKE}"' not in page
    assert "That is all. Price the repair and ask for a decision." in page


def test_others_see_what_was_taken_and_no_form(
    taken: RepairOrder, volunteer2: Person, owner: Person, client_for: SignIn
) -> None:
    for person in (volunteer2, owner):
        page = seen(client_for(person), PAGE)
        assert '<dt>Taken before the decision</dt><dd class="money">30.00</dd>' in page
        assert f'action="{TAKE}"' not in page


def test_where_nothing_was_taken_others_are_not_bothered(
    repair: RepairOrder, owner: Person, client_for: SignIn
) -> None:
    assert "Consumables before the decision" not in seen(client_for(owner), PAGE)


def test_the_owner_sees_it_on_today_among_decisions_and_on_the_list_of_promises(
    taken: RepairOrder, owner: Person, client_for: SignIn
) -> None:
    client = client_for(owner)
    assert "repair has consumables before its decision" in seen(client, "/crew/")
    page = seen(client, "/crew/repairs/waiting/decisions/")
    assert "RO-0001</span> Alder, $30.00 of which $0.00 is spent: brake cleaner" in page
    assert "Consumables, Tavi Brandt" in seen(client, "/crew/repairs/waiting/promised/")
    rows = client.get("/crew/repairs/waiting/promised/?format=csv")
    lines = b"".join(rows).decode("utf-8-sig").splitlines()
    assert "Before a decision" in lines[0]
    assert "Consumables, Tavi Brandt" in lines[1]


def test_the_screen_of_the_decision_counts_them_once_and_the_frozen_page_tells_of_them(
    taken: RepairOrder, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    set_cause(by=volunteer, repair=taken, cause="Pads down to metal")
    set_estimate(by=volunteer, repair=taken, lines=part(200_00, "pads"))
    client = client_for(owner)
    page = seen(client, "/crew/repairs/RO-0001/approval/")
    assert "of which the mechanic took before, as consumables" in page
    assert '<th scope="row">Free to commit after</th><td class="money">800.00</td>' in page
    kept = taken.approvals.get(kind="consumables")
    frozen = seen(client, f"/crew/repairs/RO-0001/approval/{kept.pk}/")
    assert "brake cleaner" in frozen
    assert "$30.00 in all is within the $50.00 a mechanic may take alone for one repair." in frozen


def test_who_may_not_write_on_repairs_has_no_such_page(
    taken: RepairOrder, treasurer: Person, client_for: SignIn, client: Client
) -> None:
    assert client_for(treasurer).get(TAKE).status_code == 403
    assert client.get(TAKE).status_code == 404
