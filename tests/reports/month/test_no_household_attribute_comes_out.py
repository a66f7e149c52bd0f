"""A household with a mark in every place one can write in goes all the way to a published month; then everything that
leaves the crew is searched for the marks."""

import io
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client, override_settings
from django.urls import NoReverseMatch, reverse

from fund import clock
from fund.access.models import Person
from fund.trail.models import TrailLine
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation as answer_for_repair
from jobs.eligibility.actions import decide, sight
from jobs.estimates.actions import set_estimate
from jobs.estimates.actions_owner import owner_agrees
from jobs.households.actions_papers import keep_copy
from jobs.households.models import Sighting
from jobs.intake.actions import answer_relation
from jobs.repairs.actions import open_repair, set_cause, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from reports.month.actions import close_month, publish_month
from reports.month.models import PublishedFile, PublishedMonth
from tests.fund.attachments.makers import photo
from tests.house.url_powers import PUBLIC, URL_POWERS
from tests.jobs.households.stored import MARKS, marked, marks_in
from tests.jobs.workshop import part, walked_round
from tests.reports.month import march as story
from tests.reports.month.lived import PEOPLE
from tests.reports.month.march import WORK_DAY, Crew

pytestmark = pytest.mark.django_db
# What the crew may not see without the power household.papers; a plate and a VIN they meet in the bay.
PAPERS = set(MARKS) - {"VIN", "plate", "vehicle note"}
# The accountant's list of related parties has to say how they are related.
MAY_STAND = {"eligibility:related": {"tie words"}}


@dataclass
class Lived:
    order: RepairOrder
    crew: Crew
    accountant: Person
    media: Path
    log: io.StringIO


@pytest.fixture(scope="module")
def lived(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Lived]:
    """The whole way once for all tests of this file, with every log line caught; undone at the end."""
    media, log = tmp_path_factory.mktemp("media"), io.StringIO()
    handler, root = logging.StreamHandler(log), logging.getLogger()
    level = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    with django_db_blocker.unblock(), transaction.atomic(), override_settings(MEDIA_ROOT=media):
        people = []
        for username, first, last, role in PEOPLE:
            person = Person.objects.create_user(username, first_name=first, last_name=last)
            person.groups.add(Group.objects.get(name=role))
            people.append(person)
        crew = Crew(*people[:5])
        story.february(crew)
        with clock.at(date(2026, 3, 2)):
            publish_month(by=crew.owner, month="2026-02")
        with clock.at(WORK_DAY):
            order = helped(crew)
        with clock.at(date(2026, 4, 3)):
            close_month(by=crew.treasurer, month="2026-03")
            publish_month(by=crew.owner, month="2026-03")
        yield Lived(order, crew, people[5], media, log)
        transaction.set_rollback(True)
    root.removeHandler(handler)
    root.setLevel(level)


@pytest.fixture
def published(lived: Lived, db: None) -> Iterator[Lived]:
    with clock.at(date(2026, 4, 3)), override_settings(MEDIA_ROOT=lived.media):
        yield lived


def helped(crew: Crew) -> RepairOrder:
    application = marked(crew.screener, crew.volunteer2, decided=False)
    keep_copy(
        by=crew.screener,
        sighting=Sighting.objects.get(),
        upload=SimpleUploadedFile(f"{MARKS['name']} {MARKS['income']}.jpg", photo()),
    )
    # The household has two jobs, and each has its stub.
    sight(
        by=crew.screener,
        household=application.household,
        kind="pay stub",
        document_date=date(2026, 3, 10),
        note=MARKS["paper note"],
    )
    answer_relation(by=crew.volunteer2, application=application, tie=True, words=MARKS["tie words"])
    answer_relation(by=crew.screener, application=application, tie=False)
    decide(by=crew.screener, application=application, verdict="eligible", words=MARKS["decision words"])
    application.refresh_from_db()
    order = open_repair(
        by=crew.volunteer,
        application=application,
        vehicle=application.household.vehicles.get(),
        complaint="Grinds when braking",
        mechanic=crew.volunteer,
    )
    walked_round(crew.volunteer, order, signed_by=f"Hilda {MARKS['name']}")
    set_cause(by=crew.volunteer, repair=order, cause="front pads to metal", book_hours=20)
    set_estimate(by=crew.volunteer, repair=order, lines=part(120_00))
    owner_agrees(
        by=crew.volunteer, repair=order, name=f"Hilda {MARKS['name']}", how="phone", called=MARKS["phone"]
    )
    for person in (crew.volunteer, crew.owner):
        answer_for_repair(by=person, repair=order, tie=False)
    approve(by=crew.owner, repair=order)
    start_work(by=crew.volunteer, repair=order)
    set_correction(by=crew.volunteer, repair=order, correction="pads replaced")
    return order


def public_addresses() -> list[str]:
    found = []
    for name, powers in URL_POWERS.items():
        if powers == PUBLIC:
            try:
                found.append(reverse(name))
            except NoReverseMatch:
                continue
    keys = PublishedMonth.objects.values_list("month", flat=True)
    return [*found, *(f"/months/{key}/" for key in keys)]


def test_nothing_of_it_is_on_a_public_page_or_in_a_published_file(published: Lived, client: Client) -> None:
    addresses = public_addresses()
    assert len(addresses) > 4
    for address in addresses:
        page = client.get(address)
        assert marks_in(page.content.decode("utf-8", "replace") + str(page.headers)) == [], address
    files = list(PublishedFile.objects.all())
    assert len(files) > 3
    for file in files:
        told = "".join(_readable(value) for value in vars(file).values())
        assert marks_in(told) == [], file
    for month in PublishedMonth.objects.all():
        assert marks_in("".join(_readable(value) for value in vars(month).values())) == []


def _readable(value: object) -> str:
    return bytes(value).decode("latin-1") if isinstance(value, (bytes, memoryview)) else str(value)


def test_nothing_of_it_is_in_a_file_or_the_name_of_a_file(published: Lived) -> None:
    files = [path for path in published.media.rglob("*") if path.is_file()]
    assert any(path.suffix == ".sealed" for path in files)
    for path in files:
        assert marks_in(str(path.relative_to(published.media)) + path.read_bytes().decode("latin-1")) == []


def test_nothing_of_it_is_in_the_trail_or_in_a_log_line(published: Lived) -> None:
    lines = [f"{line.text} {line.subject} {line.data}" for line in TrailLine.objects.all()]
    assert len(lines) > 20
    assert marks_in("\n".join(lines)) == []
    assert marks_in(published.log.getvalue()) == []


@pytest.mark.parametrize(
    "name", ["households:household", "intake:request", "eligibility:decide", "repairs:repair"]
)
def test_a_stranger_meets_a_page_that_is_not_there(published: Lived, client: Client, name: str) -> None:
    codes = {"households": "H-0001", "intake": "A-0001", "eligibility": "A-0001", "repairs": "RO-0001"}
    page = client.get(reverse(name, args=[codes[name.split(":")[0]]]))
    assert page.status_code == 404
    assert marks_in(page.content.decode()) == []


def test_an_error_page_tells_nothing(
    published: Lived, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    settings.DEBUG = False
    household = published.order.household

    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError(f"{household.code} broke")

    monkeypatch.setattr("jobs.households.views.render", broken)
    client = Client(raise_request_exception=False)
    client.force_login(published.crew.screener, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get("/crew/households/H-0001/")
    assert page.status_code == 500
    assert marks_in(page.content.decode()) == []


@pytest.mark.parametrize("who", ["volunteer", "accountant"])
def test_who_may_not_see_papers_meets_none_on_any_page(published: Lived, who: str) -> None:
    client = Client()
    client.force_login(
        published.accountant if who == "accountant" else published.crew.volunteer,
        backend="django.contrib.auth.backends.ModelBackend",
    )
    seen = 0
    for name in URL_POWERS:
        for args in ([], ["RO-0001"], ["A-0001"], ["H-0001"]):
            try:
                address = reverse(name, args=args)
            except NoReverseMatch:
                continue
            page = client.get(address)
            if page.status_code == 200 and not page.streaming:
                seen += 1
                found = set(marks_in(page.content.decode("utf-8", "replace"))) & PAPERS
                found -= MAY_STAND.get(name, set())
                assert not found, f"{address}: {found}"
    assert seen > 10
