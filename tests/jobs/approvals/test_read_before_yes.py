"""A decision counts for what stood on the page; what changed meanwhile is read again first."""

from collections.abc import Callable

import pytest
from django.test import Client

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.money import Money
from fund.receipts.actions import post_receipt
from fund.receipts.models import Receipt
from fund.refusal import NotReady
from jobs.approvals.actions import agree, approve, decline, supplement
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.models import Approval
from jobs.approvals.queries import sheet
from jobs.approvals.snapshot import mark_of
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.repairs.actions import set_cause
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from tests.conftest import TODAY
from tests.jobs.approvals.test_ratify_receipt import draft_of
from tests.jobs.pressed import press, read_on
from tests.jobs.workshop import eligible, money_in_bank, part, priced, ready, without_share

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
URL = "/crew/repairs/RO-0001/approval/"
YES = {"tie": "no", "words": "", "purpose": "general", "reason": "Needed for work", "decision": "yes"}
CHANGED = "The estimate changed since you opened this page"


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    without_share(owner)
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


def mark(repair: RepairOrder, person: Person) -> str:
    repair.refresh_from_db()
    return mark_of(sheet(repair, person, TODAY))


def test_an_old_page_approves_no_sum_that_nobody_read_and_comes_back_with_the_new_one(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    without_share(owner)
    money_in_bank(treasurer, 5_000_00)
    repair = priced(volunteer, eligible(screener), part(400_00))
    client = client_for(owner)
    old = read_on(client, URL)
    set_estimate(by=volunteer, repair=repair, lines=part(700_00))
    answer = client.post(URL, {**YES, "read": old})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert CHANGED in page
    assert "Approve $700.00" in page
    assert "Needed for work" in page
    assert "checked" in page.split('name="tie"')[1].split(">")[0]
    assert (Approval.objects.exists(), open_for("RO-0001")) == (False, Money.zero)
    assert press(client, URL, YES).status_code == 302
    assert open_for("RO-0001") == Money(700_00)


def test_a_page_without_its_mark_decides_nothing(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person, client_for: SignIn
) -> None:
    money_in_bank(treasurer, 5_000_00)
    priced(volunteer, eligible(screener))
    assert client_for(owner).post(URL, YES).status_code == 422
    assert not Approval.objects.exists()


def test_an_old_page_that_lacks_something_else_too_says_that_the_estimate_changed(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = priced(volunteer, eligible(screener), part(400_00))
    client = client_for(owner)
    old = read_on(client, URL)
    set_estimate(by=volunteer, repair=repair, lines=part(700_00))
    assert CHANGED in client.post(URL, {**YES, "tie": "", "read": old}).content.decode()


def test_the_confirmation_of_a_no_carries_what_was_read_before_it(
    screener: Person, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    repair = priced(volunteer, eligible(screener), part(400_00))
    client = client_for(owner)
    said = {**YES, "decision": "no", "read": read_on(client, URL)}
    asked = client.post(URL, said).content.decode()
    assert f'name="read" value="{said["read"]}"' in asked
    set_estimate(by=volunteer, repair=repair, lines=part(90_00))
    answer = client.post(URL, {**said, "confirm": "yes"})
    assert (answer.status_code, CHANGED in answer.content.decode()) == (422, True)
    repair.refresh_from_db()
    assert repair.state == State.ESTIMATED


def test_another_cause_at_the_same_cost_is_another_estimate(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 5_000_00)
    repair = ready(screener, volunteer, owner, part(140_00))
    old = mark(repair, owner)
    set_cause(by=volunteer, repair=repair, cause="The relay, by swapping it")
    with pytest.raises(NotReady, match=CHANGED):
        approve(by=owner, repair=repair, read=old)
    assert approve(by=owner, repair=repair, read=mark(repair, owner)).amount == Money(140_00)


def test_the_first_of_two_yeses_and_the_no_count_for_what_was_read(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 9_000_00)
    repair = ready(screener, volunteer, owner, part(900_00))
    answer_relation(by=treasurer, repair=repair, tie=False)
    old = mark(repair, treasurer)
    set_estimate(by=volunteer, repair=repair, lines=part(1_400_00))
    with pytest.raises(NotReady, match=CHANGED):
        agree(by=treasurer, repair=repair, read=old)
    with pytest.raises(NotReady, match=CHANGED):
        decline(by=owner, repair=repair, reason="Too dear", read=old)
    assert agree(by=treasurer, repair=repair, read=mark(repair, treasurer)).amount == Money(1_400_00)


def test_a_page_from_before_a_supplement_was_asked_for_says_nothing_to_it(
    approved: RepairOrder, volunteer: Person, owner: Person
) -> None:
    old = mark(approved, owner)
    request_supplement(by=volunteer, repair=approved, lines=part(60_00, "relay"), reason="Burnt")
    with pytest.raises(NotReady, match=CHANGED):
        supplement(by=owner, repair=approved, read=old)
    with pytest.raises(NotReady, match=CHANGED):
        decline(by=owner, repair=approved, reason="No", read=old)
    assert supplement(by=owner, repair=approved, read=mark(approved, owner)).amount == Money(60_00)


def test_the_same_overspend_is_not_ratified_twice_from_two_open_pages(
    approved: RepairOrder, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    bill = draft_of(volunteer, approved, "465.00")
    client, url = client_for(owner), f"/crew/repairs/waiting/overspent/{bill.code}/"
    said = {"reason": "The only one in town", "read": read_on(client, url)}
    assert client.post(url, said).status_code == 302
    again = client.post(url, said, follow=True).content.decode()
    assert "Nothing on this receipt runs over an approval." in again
    assert approved.approvals.filter(kind="ratification").count() == 1


def test_a_draft_that_grew_after_its_page_was_opened_is_not_ratified(
    approved: RepairOrder, volunteer: Person, owner: Person, client_for: SignIn
) -> None:
    bill = draft_of(volunteer, approved, "465.00")
    client, url = client_for(owner), f"/crew/repairs/waiting/overspent/{bill.code}/"
    old = read_on(client, url)
    post_receipt(by=volunteer, receipt=draft_of(volunteer, approved, "10.00", number="2"))
    assert client.post(url, {"reason": "Bought", "read": old}).status_code == 422
    with pytest.raises(NotReady, match="changed since"):
        ratify_receipt(by=owner, receipt=bill, reason="Bought", read=old)
    assert press(client, url, {"reason": "Bought"}).status_code == 302
    assert Receipt.objects.get(code=bill.code).state == "posted"
    assert approved.approvals.latest("pk").amount == Money(35_00)
