import io
import json
import zipfile
from collections.abc import Callable
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Month
from jobs.repairs.models import RepairOrder
from reports.month.actions import close_month
from reports.month.models import PublicWording, PublishedMonth
from tests.reports.month.march import NAMES, Crew

AFTER = date(2026, 4, 3)
SignIn = Callable[[Person], Client]


@pytest.fixture(autouse=True)
def _after() -> object:
    with clock.at(AFTER):
        yield


def at(name: str, *args: str) -> str:
    return reverse(f"month:{name}", args=args)


def test_the_list_names_every_month_with_its_state(
    closed: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    page = client_for(crew.treasurer).get(at("months"))
    rows = [[cell.strip() for cell in row.split("</td>")][0] for row in page.content.decode().split("<tr")]
    assert rows
    table = client_for(crew.treasurer).get(at("months") + "?format=csv")
    text = b"".join(table.streaming_content).decode() if table.streaming else table.content.decode()  # type: ignore[attr-defined]
    states = [line.split(",")[:2] for line in text.strip().splitlines()[1:]]
    assert states == [["2026-04", "open"], ["2026-03", "closed"], ["2026-02", "published"]]


def test_an_open_month_shows_what_stops_it_and_what_would_be_published(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    page = client_for(crew.treasurer).get(at("month", "2026-03")).content.decode()
    assert "What is stopping the close?" in page
    assert "5,753.06" in page
    assert "to look at" in page
    assert at("close", "2026-03") in page
    april = client_for(crew.treasurer).get(at("month", "2026-04")).content.decode()
    assert "stops the close" in april
    assert at("close", "2026-04") not in april


def test_no_name_of_a_household_is_on_the_crews_month_page(
    orders: dict[str, RepairOrder], accountant: Person, client_for: SignIn
) -> None:
    page = client_for(accountant).get(at("month", "2026-03")).content.decode()
    assert [name for name in NAMES if name in page] == []


def test_closing_takes_a_page_and_a_yes(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    client = client_for(crew.treasurer)
    assert "This cannot be undone" in client.get(at("close", "2026-03")).content.decode()
    assert not Month.objects.filter(key="2026-03", closed_at__isnull=False).exists()
    answer = client.post(at("close", "2026-03"), {"confirm": "yes"})
    assert answer.status_code == 302
    assert Month.objects.get(key="2026-03").closed_by == crew.treasurer


def test_a_close_that_is_refused_says_why(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    answer = client_for(crew.treasurer).post(at("close", "2026-04"), {"confirm": "yes"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "2026-04 cannot be closed yet." in page
    assert "2026-03 is still open" in page


def test_the_owner_publishes(closed: dict[str, RepairOrder], crew: Crew, client_for: SignIn) -> None:
    client = client_for(crew.owner)
    page = client.get(at("publish", "2026-03")).content.decode()
    assert (
        "Odell Price closed it and is named as the one who prepared it; you sign as the one who reviewed it."
        in page
    )
    assert 'name="reason"' not in page
    answer = client.post(at("publish", "2026-03"))
    assert answer.status_code == 302
    published = PublishedMonth.objects.get(month="2026-03")
    assert (published.prepared_by, published.reviewed_by) == (crew.treasurer, crew.owner)
    assert "All files (ZIP)" in client.get(at("month", "2026-03")).content.decode()


def test_nobody_signs_for_another_by_a_box_the_page_does_not_have(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    with clock.at(AFTER):
        close_month(by=crew.owner, month="2026-03")
        client = client_for(crew.owner)
        forged = {"prepared_by": "odell", "reviewed_by": "petra", "reason": "  "}
        answer = client.post(at("publish", "2026-03"), forged)
        assert answer.status_code == 422
        assert "someone else should review it" in answer.content.decode()
        assert not PublishedMonth.objects.filter(month="2026-03").exists()
        answer = client.post(
            at("publish", "2026-03"), {**forged, "reason": "the treasurer is in the hospital"}
        )
        assert answer.status_code == 302
    published = PublishedMonth.objects.get(month="2026-03")
    assert (published.prepared_by, published.reviewed_by) == (crew.owner, crew.owner)
    people = json.loads(published.record)["people"]
    assert (people["independent"], people["reason"]) == (False, "the treasurer is in the hospital")


def test_the_treasurer_is_told_that_only_the_owner_publishes(
    closed: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    answer = client_for(crew.treasurer).post(at("publish", "2026-03"))
    assert answer.status_code == 403
    assert b"owner" in answer.content


def test_a_private_word_is_shown_before_anyone_tries_to_publish(
    closed: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    order = closed["A"]
    RepairOrder.objects.filter(pk=order.pk).update(complaint="grinding, says Quillon")
    client = client_for(crew.treasurer)
    page = client.get(at("month", "2026-03")).content.decode()
    assert f"the story of {order.alias} holds a name of household {order.alias}." in page
    words = at("word", "2026-03", order.number)
    assert words in page
    again = client.post(words, {"text": "Quillon heard grinding"})
    assert again.status_code == 422
    assert "Quillon heard grinding" in again.content.decode()
    assert client.post(words, {"text": "Grinding brakes, new pads."}).status_code == 302
    assert PublicWording.objects.get().text == "Grinding brakes, new pads."
    assert "holds a name" not in client.get(at("month", "2026-03")).content.decode()


def test_all_files_come_as_one_zip_that_is_always_the_same(
    published: PublishedMonth, crew: Crew, client_for: SignIn
) -> None:
    client = client_for(crew.treasurer)
    first = client.get(at("bundle", "2026-03")).content
    assert first == client.get(at("bundle", "2026-03")).content
    names = zipfile.ZipFile(io.BytesIO(first)).namelist()
    assert "2026-03/record.json" in names
    assert len(names) == 14


def test_a_month_the_books_do_not_know_is_not_found(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    client = client_for(crew.owner)
    for name in ("month", "close", "publish", "bundle"):
        assert client.get(at(name, "2019-01")).status_code == 404


def test_the_month_page_asks_no_more_questions_for_more_repairs(
    orders: dict[str, RepairOrder], crew: Crew, client_for: SignIn
) -> None:
    client = client_for(crew.treasurer)
    client.get(at("month", "2026-03"))
    with CaptureQueriesContext(connection) as many:
        client.get(at("month", "2026-03"))
    with CaptureQueriesContext(connection) as few:
        client.get(at("month", "2026-04"))
    assert len(many) <= len(few) + 3
