from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Entry
from fund.ledger.queries import cost_of, trial_balance
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput
from jobs.approvals.actions import approve
from jobs.repairs.actions_steps import mark_handed_back, mark_tested, start_work
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions_desk import write_to_owner
from jobs.vehicles.models_desk import OwnerNotice
from jobs.vehicles.queries_desk import to_write_to, unfetched
from tests.fund.receipts.makers import bought, line, paper
from tests.jobs.workshop import money_in_bank, ready

pytestmark = pytest.mark.django_db
SignIn = Callable[[Person], Client]


@pytest.fixture
def standing(screener: Person, volunteer: Person, owner: Person, treasurer: Person) -> RepairOrder:
    """Road-tested today, with parts of 168.40 and 13.89 of tax in its cost."""
    money_in_bank(treasurer, 3_000_00)
    repair = ready(screener, volunteer, owner)
    approve(by=owner, repair=repair)
    start_work(by=volunteer, repair=repair)
    pads = line("pads and rotors", "168.40", ("part", repair.number))
    bought(volunteer, paper(volunteer, "182.29", "13.89", pads, tender="fund_card"))
    return mark_tested(by=volunteer, repair=repair)


def test_a_vehicle_left_for_sixty_days_has_its_notices_logged_and_its_cost_stays(
    standing: RepairOrder, volunteer: Person
) -> None:
    day = clock.today()
    entries, books = Entry.objects.count(), trial_balance()
    for after, way in ((30, "phone"), (45, "letter"), (60, "certified letter")):
        with clock.at(day + timedelta(days=after)):
            write_to_owner(by=volunteer, repair=standing, way=way, words=f"Please fetch it, {way}")
    rows = OwnerNotice.objects.filter(repair=standing)
    assert [(row.way, row.standing_days) for row in rows] == [
        ("phone", 30), ("letter", 45), ("certified letter", 60),
    ]  # fmt: skip
    assert cost_of(standing.number) == Money(182_29)
    assert (Entry.objects.count(), trial_balance()) == (entries, books)
    standing.refresh_from_db()
    assert standing.state == "road-tested"


def test_those_nobody_fetches_are_listed_and_those_who_were_not_told_are_waited_for(
    standing: RepairOrder, volunteer: Person
) -> None:
    day = clock.today()
    assert not unfetched(day + timedelta(days=29)).exists()
    late = day + timedelta(days=30)
    assert list(unfetched(late)) == list(to_write_to(late)) == [standing]
    with clock.at(late):
        write_to_owner(by=volunteer, repair=standing, way="phone", words="Please fetch it")
    assert not to_write_to(late).exists()
    assert unfetched(late).get().notices == 1  # type: ignore[attr-defined]
    assert to_write_to(late + timedelta(days=30)).exists()


def test_a_vehicle_that_was_handed_back_needs_no_notice(standing: RepairOrder, volunteer: Person) -> None:
    mark_handed_back(by=volunteer, repair=standing)
    with pytest.raises(AlreadyDone, match="was handed back"):
        write_to_owner(by=volunteer, repair=standing, way="phone", words="Please fetch it")


@pytest.mark.parametrize(
    ("way", "words", "days", "sentence"),
    [
        ("pigeon", "Please", 0, "Say how the owner was told"),
        ("phone", " ", 0, "Write what was said"),
        ("phone", "Please", 1, "must lie between"),
        ("phone", "Please", -1, "must lie between"),
    ],
)
def test_a_notice_that_proves_nothing_is_refused(
    standing: RepairOrder, volunteer: Person, way: str, words: str, days: int, sentence: str
) -> None:
    day = clock.today() + timedelta(days=days)
    with pytest.raises(BadInput, match=sentence):
        write_to_owner(by=volunteer, repair=standing, way=way, words=words, on=day)


def test_what_was_written_lies_sealed(standing: RepairOrder, volunteer: Person) -> None:
    write_to_owner(by=volunteer, repair=standing, way="phone", words="gristmill", answer="thistledown")
    with connection.cursor() as cursor:
        cursor.execute("SELECT words, answer FROM jobs_ownernotice")
        assert not any("gristmill" in cell or "thistledown" in cell for cell in cursor.fetchone())


def test_the_page_logs_a_notice_and_defers_to_the_law(
    standing: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    url = f"/crew/repairs/{standing.number}/notices/"
    page = client.get(url).content.decode()
    assert "never sells, strips or scraps" in page
    typed = {"on": str(clock.today()), "way": "letter", "words": "Please fetch it", "answer": ""}
    page = client.post(url, typed, follow=True).content.decode()
    assert "Please fetch it" in page
    assert "after 0 days" in page


def test_the_list_asks_the_database_the_same_however_many_stand(
    standing: RepairOrder,
    screener: Person,
    volunteer: Person,
    owner: Person,
    client_for: SignIn,
) -> None:
    client = client_for(volunteer)
    with clock.at(clock.today() + timedelta(days=40)):
        counts = []
        for _ in range(2):
            with CaptureQueriesContext(connection) as asked:
                assert standing.number in client.get("/crew/repairs/unfetched/").content.decode()
            counts.append(len(asked))
            for number in range(3):
                repair = ready(screener, volunteer, owner, name=f"More {number}")
                approve(by=owner, repair=repair)
                start_work(by=volunteer, repair=repair)
                mark_tested(by=volunteer, repair=repair, on=standing.tested_on)
    assert counts[0] == counts[1] <= 12
