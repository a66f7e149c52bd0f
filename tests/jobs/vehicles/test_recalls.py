from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.commitments.queries import open_for, position
from fund.ledger.models import Entry
from fund.money import Money
from fund.refusal import BadInput, NotAllowed, NotReady
from jobs.approvals.actions import approve
from jobs.estimates.actions import set_estimate
from jobs.hours.actions import add_hours
from jobs.hours.models import Skill
from jobs.hours.queries import hours_of_repair
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions_desk import look_up_recalls, send_to_dealer
from jobs.vehicles.models_desk import RecallLookup
from jobs.vehicles.queries_desk import last_lookup
from tests.jobs.workshop import BRAKES, checked_in, eligible, money_in_bank, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]
WHERE = "the safety agency's page"


@pytest.fixture
def approved(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    return approve(by=owner, repair=repair).repair


def covered(by: Person, repair: RepairOrder) -> None:
    look_up_recalls(by=by, repair=repair, found="covers", where=WHERE, words="Brake hoses may crack, 26V-118")


def test_an_open_recall_that_covers_the_fault_goes_to_the_dealer_and_the_promise_is_free_again(
    approved: RepairOrder, volunteer: Person
) -> None:
    skill = Skill.objects.get(code="mechanic")
    add_hours(by=volunteer, repair=approved, person=volunteer, on=clock.today(), tenths=10, skill=skill)
    free, entries = position().free_to_commit, Entry.objects.count()
    assert open_for(approved.number) == Money(182_29)
    covered(volunteer, approved)
    sent = send_to_dealer(by=volunteer, repair=approved)
    assert (sent.state, open_for(approved.number)) == ("diagnosed, not repaired", Money.zero)
    assert "26V-118" in sent.stop_reason
    assert position().free_to_commit == free + Money(182_29)
    assert hours_of_repair(sent).tenths == 10
    assert Entry.objects.count() == entries  # a memo: a promise is no entry, and its release is none either


def test_nothing_is_priced_or_begun_while_a_recall_covers_the_fault(
    screener: Person, volunteer: Person, approved: RepairOrder
) -> None:
    covered(volunteer, approved)
    with pytest.raises(NotReady) as refusal:
        start_work(by=volunteer, repair=approved)
    assert "open recall covers" in " ".join(refusal.value.details)
    other = checked_in(volunteer, eligible(screener, "Other"))
    covered(volunteer, other)
    with pytest.raises(NotReady, match="repairs it at no cost"):
        set_estimate(by=volunteer, repair=other, lines=BRAKES)


def test_a_dealer_that_cannot_do_it_in_time_lets_the_crew_go_on(
    approved: RepairOrder, volunteer: Person
) -> None:
    covered(volunteer, approved)
    look_up_recalls(
        by=volunteer,
        repair=approved,
        found="dealer cannot",
        where="Dealer in Weir Street",
        words="No parts until May",
    )
    assert start_work(by=volunteer, repair=approved).state == "in the bay"


def test_without_such_a_recall_nothing_is_sent_to_a_dealer(approved: RepairOrder, volunteer: Person) -> None:
    for found in ("none", "other"):
        look_up_recalls(by=volunteer, repair=approved, found=found, where=WHERE, words="Air bag")
        with pytest.raises(NotReady, match="No open recall that covers"):
            send_to_dealer(by=volunteer, repair=approved)


def test_day_person_and_place_of_each_look_stay(approved: RepairOrder, volunteer: Person) -> None:
    day = clock.today() - timedelta(days=2)
    look_up_recalls(by=volunteer, repair=approved, found="none", where=WHERE, on=day)
    row = last_lookup(approved)
    assert row is not None
    assert (row.on, row.by, row.where, row.found) == (day, volunteer, WHERE, "none")
    with pytest.raises(DatabaseError), transaction.atomic():
        RecallLookup.objects.update(found="covers")


@pytest.mark.parametrize(
    ("found", "where", "words", "ahead", "sentence"),
    [
        ("nothing", WHERE, "", 0, "Say what the look"),
        ("none", " ", "", 0, "Write where you looked"),
        ("covers", WHERE, " ", 0, "what the open recall is about"),
        ("none", WHERE, "", 1, "has not come yet"),
    ],
)
def test_a_look_that_says_too_little_is_refused(
    approved: RepairOrder, volunteer: Person, found: str, where: str, words: str, ahead: int, sentence: str
) -> None:
    day = clock.today() + timedelta(days=ahead)
    with pytest.raises(BadInput, match=sentence):
        look_up_recalls(by=volunteer, repair=approved, found=found, where=where, words=words, on=day)


def test_who_may_not_write_on_repairs_looks_nothing_up(approved: RepairOrder, treasurer: Person) -> None:
    with pytest.raises(NotAllowed):
        look_up_recalls(by=treasurer, repair=approved, found="none", where=WHERE)


def test_the_pages_write_the_look_down_and_send_the_vehicle(
    approved: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    url = f"/crew/repairs/{approved.number}/recalls/"
    typed = {"found": "covers", "on": str(clock.today()), "where": WHERE}
    answer = client.post(url, typed)
    assert answer.status_code == 422
    assert WHERE in answer.content.decode().replace("&#x27;", "'")
    page = client.post(url, {**typed, "words": "26V-118"}, follow=True).content.decode()
    assert "An open recall covers this fault" in page
    client.post(f"/crew/repairs/{approved.number}/dealer/")
    approved.refresh_from_db()
    assert approved.state == "diagnosed, not repaired"
