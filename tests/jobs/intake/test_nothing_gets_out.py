"""Marked values planted in every box of a request: none of them in an address, a log line, an error page or a file name."""

import io
import logging
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client

from fund.access.models import Person
from fund.trail.models import TrailLine
from jobs.intake import pace
from jobs.intake.pages import PAGES
from jobs.intake.quiet import NoPrivateLinks
from tests.jobs.intake.public import TYPED, draft_with, rows, sent_by_form

pytestmark = pytest.mark.django_db

PLANTED = {
    "you": {
        "name": "Xantippe Plantedname",
        "phone": "212 555 0177",
        "email": "planted.mail@post.example",
        "address": "77 Plantedstreet, Larkwater",
        "referral": "Plantedreferral",
        "best_time": "plantedtime",
    },
    "home": rows("people", {"name": "Plantedchild", "relation": "child", "birth_year": "2013"}),
    "money": rows(
        "incomes", {"member": "1", "kind": "pay", "amount": "913.37", "period": "weekly", "hours": ""}
    )
    | {"no_income_words": "plantedrent"},
    "vehicle": {"plate": "PLT 913", "vin": "1M8GDM9AXKP042788", "vehicle_words": "Plantedmake"},
    "trouble": {"need_words": "plantedneed"},
}
MARKS = re.compile(r"planted|xantippe|PLT.?913|1M8GDM9AXKP042788|555.?0177|913[.,]?37|91337", re.IGNORECASE)


@pytest.fixture
def log() -> Iterator[Callable[[], str]]:
    """All that the program writes to its log, through the filter of the settings, from the finest line on."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.addFilter(NoPrivateLinks())
    roots = [logging.getLogger(name) for name in ("", "django", "django.request", "django.server")]
    before = [root.level for root in roots]
    for root in roots:
        root.addHandler(handler)
    logging.getLogger("django.request").setLevel(logging.DEBUG)
    yield stream.getvalue
    for root, level in zip(roots, before, strict=True):
        root.removeHandler(handler)
        root.setLevel(level)


def typed() -> dict[str, dict[str, str]]:
    return {key: TYPED[key] | PLANTED.get(key, {}) for key in PAGES}


def test_no_address_log_line_or_error_page_tells_what_was_typed(
    log: Callable[[], str], monkeypatch: pytest.MonkeyPatch, client: Client
) -> None:
    _, secret = draft_with({"questions": TYPED["questions"]})
    seen = []
    for key in list(PAGES)[1:]:
        answer = client.post(f"/ask-for-help/mine/{secret}/page/{key}/", typed()[key])
        seen.append(answer["Location"])
    client.raise_request_exception = False
    monkeypatch.setattr("jobs.intake.views_status.status_of", lambda application: 1 / 0)
    broken = client.get(f"/ask-for-help/mine/{secret}/")
    assert broken.status_code == 500
    lost = client.get(f"/ask-for-help/mine/{secret}/page/nowhere/")
    assert lost.status_code == 404
    stranger = client.get(f"/ask-for-help/mine/{secret}x/")
    for page in (broken, lost, stranger):
        assert not MARKS.search(page.content.decode())
    assert not MARKS.search(" ".join(seen))
    assert "ZeroDivisionError" in log()
    assert not MARKS.search(log())
    assert secret not in log()


def test_the_page_after_sending_shows_nothing_that_was_typed(client: Client) -> None:
    secret = sent_by_form(**PLANTED)  # type: ignore[arg-type]
    for place in ("", "agreed/", "take-back/"):
        assert not MARKS.search(client.get(f"/ask-for-help/mine/{secret}/{place}").content.decode())


def test_what_was_typed_is_unreadable_in_every_table(screener: Person) -> None:
    sent_by_form(name="Xantippe Plantedname", **PLANTED)  # type: ignore[arg-type]
    draft_with(typed())
    held = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            held += [(table, row) for row in cursor.fetchall() if MARKS.search(str(row))]
    # The time to call and the make of a vehicle are readable: they say nothing of who it is.
    assert {table for table, _ in held} <= {"jobs_application", "jobs_vehicle"}
    left = {mark.lower() for _, row in held for mark in MARKS.findall(str(row))}
    assert left == {"planted"}
    readable = " ".join(str(row) for _, row in held).lower()
    assert set(re.findall(r"planted\w+", readable)) == {"plantedtime", "plantedmake"}


def test_the_trail_and_the_lists_of_the_crew_tell_none_of_it(
    client_for: Callable[[Person], Client], volunteer: Person
) -> None:
    sent_by_form(name="Xantippe Plantedname", **PLANTED)  # type: ignore[arg-type]
    assert not MARKS.search(
        " ".join(f"{row.subject} {row.text} {row.data}" for row in TrailLine.objects.all())
    )
    client = client_for(volunteer)
    for url in ("/crew/intake/", "/crew/intake/?format=csv", "/crew/intake/A-0001/"):
        answer = client.get(url)
        body = answer.getvalue() if answer.streaming else answer.content
        shown = body.decode().replace("Plantedmake", "")  # the crew sees the make of the vehicle
        assert not MARKS.search(shown), url
        assert not MARKS.search(answer.get("Content-Disposition", ""))


def test_every_log_of_the_program_goes_through_the_filter_of_private_links() -> None:
    configured: Any = settings.LOGGING["handlers"]
    assert all("no_private_links" in handler["filters"] for handler in configured.values())
    names = [
        name for name in logging.root.manager.loggerDict if name.split(".")[0] in ("django", "fund", "jobs")
    ]
    for name in [*names, "reports", "gunicorn.error"]:
        for handler in logging.getLogger(name).handlers:
            if type(handler).__module__ == "_pytest.logging":
                continue
            assert any(isinstance(one, NoPrivateLinks) for one in handler.filters), (name, handler)


@pytest.mark.parametrize(
    ("asked", "written"),
    [
        ("GET /ask-for-help/mine/abc_D-9/page/you/", "GET /ask-for-help/mine/(link)/page/you/"),
        ("GET /crew/households/?words=Elverstone&page=2 HTTP/1.1", "GET /crew/households/?(words) HTTP/1.1"),
        ("Not Found: /crew/vehicles/?words=LRK4471", "Not Found: /crew/vehicles/?(words)"),
        ("GET /crew/repairs/RO-0001/ HTTP/1.1", "GET /crew/repairs/RO-0001/ HTTP/1.1"),
    ],
)
def test_a_line_of_the_log_holds_neither_a_private_link_nor_a_search(asked: str, written: str) -> None:
    line = logging.LogRecord("django.server", logging.INFO, "", 0, '"%s" %s', (asked, "200"), None)
    assert NoPrivateLinks().filter(line)
    assert line.getMessage() == f'"{written}" 200'


def test_the_hour_s_count_holds_no_address() -> None:
    pace.count("send", "198.51.100.77")
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM jobs_pace")
        assert "198.51.100.77" not in str(cursor.fetchall())
