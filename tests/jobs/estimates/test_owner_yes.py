from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.models import Entry
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady
from jobs.approvals.actions import approve, supplement
from jobs.approvals.queries import cause_approved
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.estimates.actions_owner import owner_agrees
from jobs.estimates.models_owner import OwnerYes
from jobs.estimates.queries_owner import owner_agreed
from jobs.repairs.actions import set_cause, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from tests.jobs.workshop import BRAKES, checked_in, eligible, money_in_bank, part, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def in_work(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    return start_work(by=volunteer, repair=repair)


def test_a_cause_that_turns_out_different_at_the_same_total_needs_a_new_yes_of_the_fund_and_of_the_owner(
    in_work: RepairOrder, volunteer: Person, owner: Person
) -> None:
    promised, entries = open_for(in_work.number), Entry.objects.count()
    set_cause(by=volunteer, repair=in_work, cause="Caliper seized; pads are only the sign of it")
    assert not cause_approved(in_work)
    assert not owner_agreed(in_work)
    with pytest.raises(NotReady, match="not the one that was approved"):
        set_correction(by=volunteer, repair=in_work, correction="Caliper freed")
    request_supplement(by=volunteer, repair=in_work, lines=[], reason="Another cause, same cost")
    supplement(by=owner, repair=in_work)
    in_work.refresh_from_db()
    assert cause_approved(in_work)
    with pytest.raises(NotReady, match="owner has not said yes to what"):
        set_correction(by=volunteer, repair=in_work, correction="Caliper freed")
    owner_agrees(by=volunteer, repair=in_work, name="Ada Quill", how="phone", called="555-0142")
    done = set_correction(by=volunteer, repair=in_work, correction="Caliper freed")
    assert done.correction == "Caliper freed"
    assert (open_for(in_work.number), Entry.objects.count()) == (promised, entries)  # a memo: no money moves
    assert open_for(in_work.number) == Money(182_29)


def test_a_yes_by_phone_keeps_day_time_name_and_number(in_work: RepairOrder, volunteer: Person) -> None:
    at = clock.now() - timedelta(minutes=20)
    row = owner_agrees(by=volunteer, repair=in_work, name="Ada Quill", how="phone", called="555-0142", at=at)
    kept = OwnerYes.objects.get(pk=row.pk)
    assert (kept.at, kept.name, kept.called, kept.cost) == (at, "Ada Quill", "555-0142", Money(182_29))
    assert kept.cause == in_work.cause


def test_name_and_number_lie_sealed_and_the_yes_is_never_changed(
    in_work: RepairOrder, volunteer: Person
) -> None:
    owner_agrees(by=volunteer, repair=in_work, name="Quibblewort", how="phone", called="212-555-0173")
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, called FROM jobs_owneryes ORDER BY id DESC")
        assert not any("Quibble" in cell or "555" in cell for cell in cursor.fetchone())
    with pytest.raises(DatabaseError), transaction.atomic():
        OwnerYes.objects.update(cause="another")


def test_a_supplement_asks_the_owner_again_and_one_that_was_declined_does_not(
    in_work: RepairOrder, volunteer: Person, owner: Person
) -> None:
    assert owner_agreed(in_work)
    request_supplement(by=volunteer, repair=in_work, lines=part(40_00, "caliper"), reason="Seized")
    assert not owner_agreed(in_work)
    row = owner_agrees(by=volunteer, repair=in_work, name="Ada Quill", how="in person")
    assert (row.round, row.cost) == (1, Money(222_29))
    assert owner_agreed(in_work)
    in_work.supplement_requests.update(answer="no")
    request_supplement(by=volunteer, repair=in_work, lines=part(9_00, "clip"), reason="Lost")
    assert not owner_agreed(in_work)
    in_work.supplement_requests.update(answer="no")
    assert owner_agreed(in_work)


def test_no_work_begins_before_the_owner_said_yes(
    screener: Person, volunteer: Person, owner: Person, treasurer: Person
) -> None:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    set_cause(by=volunteer, repair=repair, cause="Something the owner was never told")
    approve(by=owner, repair=repair)
    with pytest.raises(NotReady) as refusal:
        start_work(by=volunteer, repair=repair)
    assert refusal.value.details == [
        "Ask the vehicle's owner: they have not said yes to this cause and estimate."
    ]


@pytest.mark.parametrize(
    ("name", "how", "called", "sentence"),
    [
        (" ", "signed", "", "Write who said yes"),
        ("Ada", "mail", "", "Say how the owner agreed"),
        ("Ada", "phone", " ", "number that was called"),
    ],
)
def test_a_yes_that_proves_nothing_is_refused(
    in_work: RepairOrder, volunteer: Person, name: str, how: str, called: str, sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        owner_agrees(by=volunteer, repair=in_work, name=name, how=how, called=called)


def test_nobody_agrees_to_what_is_not_written_yet(
    screener: Person, volunteer: Person, treasurer: Person
) -> None:
    repair = checked_in(volunteer, eligible(screener))
    with pytest.raises(NotReady, match="cause and the estimate"):
        owner_agrees(by=volunteer, repair=repair, name="Ada", how="signed")
    set_estimate(by=volunteer, repair=repair, lines=BRAKES)
    with pytest.raises(NotReady, match="cause and the estimate"):
        owner_agrees(by=volunteer, repair=repair, name="Ada", how="signed")
    with pytest.raises(NotAllowed):
        owner_agrees(by=treasurer, repair=repair, name="Ada", how="signed")


def test_the_page_tells_what_it_is_a_yes_to(
    in_work: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    url = f"/crew/repairs/{in_work.number}/owner-yes/"
    page = client.get(url).content.decode()
    for words in ("front pads and rotors", "$182.29", "the owner owes $0.00"):
        assert words in page
    answer = client.post(url, {"how": "phone", "name": "Ada Quill"})
    assert answer.status_code == 422
    assert 'value="Ada Quill"' in answer.content.decode()
    client.post(url, {"how": "signed", "name": "Ada Quill"})
    assert in_work.owner_yeses.count() == 2
