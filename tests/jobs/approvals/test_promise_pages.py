"""The pages of promises and of what ran over, as those who may decide and those who may not meet them."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import allowance
from fund.money import Money
from fund.receipts.models import Receipt
from jobs.approvals.actions import approve
from jobs.repairs.models import RepairOrder
from tests.conftest import TODAY
from tests.jobs.approvals.booked import draft_of
from tests.jobs.pressed import press
from tests.jobs.workshop import money_in_bank, part, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
LIST = "/crew/repairs/waiting/promised/"


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner, part(400_00))
    approve(by=owner, repair=repair)
    return repair


def page(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, path
    return " ".join(answer.content.decode().split())


def test_who_decides_finds_the_way_to_let_go_or_renew_and_others_only_the_words(
    approved: RepairOrder, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    with clock.at(TODAY + timedelta(days=31)):
        for person, may in ((owner, True), (volunteer, False)):
            seen = page(client_for(person), LIST)
            assert "Ran out on 2026-04-14, nothing bought" in seen
            assert ("/RO-0001/let-go/" in seen, "/RO-0001/renew/" in seen) == (may, may)
        told = page(client_for(owner), "/crew/repairs/RO-0001/")
        assert "A promise nobody uses" in told
        assert "/crew/repairs/RO-0001/renew/" in told


def test_the_list_is_downloaded_as_shown(approved: RepairOrder, owner: Person, client_for: SignIn) -> None:
    rows = client_for(owner).get(LIST + "?format=csv")
    lines = b"".join(rows).decode("utf-8-sig").splitlines()
    assert lines[0].split(",")[:3] == ["Repair order", "Household", "Still promised"]
    assert lines[1].split(",")[0] == "RO-0001"
    assert "400.00" in lines[1]


def test_renewing_on_its_page_keeps_what_was_typed_when_it_is_refused(
    approved: RepairOrder, owner: Person, client_for: SignIn
) -> None:
    client, url = client_for(owner), "/crew/repairs/RO-0001/renew/"
    with clock.at(TODAY + timedelta(days=95)):  # the household's decision is out of date by then
        refused = client.post(url, {"reason": "The part is on back order"})
        assert refused.status_code == 422
        assert "eligibility ran out" in refused.content.decode()
        assert "The part is on back order" in refused.content.decode()
    with clock.at(TODAY + timedelta(days=31)):
        assert "$400.00 has been promised since 2026-03-15, to be used by 2026-04-14." in page(client, url)
        assert client.post(url, {"reason": ""}).status_code == 422
        assert client.post(url, {"reason": "The part is on back order"}).status_code == 302
        assert allowance("RO-0001").until == TODAY + timedelta(days=61)


def test_a_draft_over_its_approval_points_the_owner_to_the_page_that_ratifies_it(
    approved: RepairOrder, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    bill = draft_of(volunteer, approved, "465.00")
    url = f"/crew/repairs/waiting/overspent/{bill.code}/"
    assert url in page(client_for(owner), f"/crew/receipts/{bill.code}/")
    seen = page(client_for(volunteer), f"/crew/receipts/{bill.code}/")
    assert url not in seen
    assert "keep the draft; an owner ratifies it" in seen
    assert url in page(client_for(owner), "/crew/repairs/waiting/decisions/")
    client = client_for(owner)
    assert "25.00" in page(client, url)
    assert client.post(url, {"reason": ""}).status_code == 422
    assert press(client, url, {"reason": "The only one in town"}).status_code == 302
    assert Receipt.objects.get(code=bill.code).state == "posted"
    assert "Nothing on this receipt runs over an approval." in page(client, url)
    assert approved.approvals.latest("pk").amount == Money(25_00)


def test_the_frozen_page_of_an_approval_tells_its_tolerance_rule_and_last_day(
    approved: RepairOrder, owner: Person, client_for: SignIn
) -> None:
    row = approved.approvals.get()
    seen = page(client_for(owner), f"/crew/repairs/RO-0001/approval/{row.pk}/")
    assert "10% or $50.00, whichever is less" in seen
    assert "First purchase by</dt><dd>2026-04-14" in seen
