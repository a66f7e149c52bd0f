"""The lists of the room: searched, downloaded, and read in the same number of queries however long they are."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import Receipt
from fund.repayments.queries import open_claims
from tests.fund.receipts.makers import bought, line, paper

ClientFor = Callable[[Person], Client]
LISTS = ["receipts:all", "receipts:bills", "shelf:lots", "shelf:cores", "shelf:run", "repayments:owed",
         "repayments:mine", "repayments:payments"]  # fmt: skip


PARTS = ("alternator", "water pump", "starter")
STORES = ("Gantry Parts", "Northside Counter", "Millrace Tire")


def _buy(by: Person, number: int, repair: str, **more: Any) -> Receipt:
    data = paper(
        by,
        "175.00",
        "0.00",
        line(PARTS[number % 3], "100.00", ("part", repair)),
        line("core", "55.00", ("core", repair)),
        line("bulbs", "20.00", "shelf", quantity=4000),
        number=f"N{number}",
        store=STORES[number % 3],
        **more,
    )
    return bought(by, data)


@pytest.fixture
def rows(volunteer: Person, repair: Callable[..., str]) -> list[Receipt]:
    repair("RO-0001", "4000.00")
    return [_buy(volunteer, number, "RO-0001") for number in range(3)]


def _count(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries)


@pytest.mark.parametrize("name", LISTS)
def test_a_list_takes_as_many_queries_for_many_rows_as_for_few(
    name: str, rows: list[Receipt], volunteer: Person, treasurer: Person, client_for: ClientFor
) -> None:
    client = client_for(treasurer)
    few = _count(client, reverse(name))
    for number in range(3, 13):
        _buy(volunteer, number, "RO-0001", tender="own_money" if number % 2 else "supplier_bill")
    assert _count(client, reverse(name)) <= few + 1
    assert few <= (12 if name.startswith("repayments:") else 11)


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("words=starter", ["R-00003"]),
        ("words=counter+pump", ["R-00002"]),
        ("words=N0", ["R-00001"]),
        ("words=ro-0001", ["R-00001", "R-00002", "R-00003"]),
        ("state=draft", []),
        ("photo=yes", []),
        ("since=2026-03-04", []),
        ("amount=175.00", ["R-00001", "R-00002", "R-00003"]),
    ],
)
def test_receipts_are_found_by_what_is_on_them(
    query: str, found: list[str], rows: list[Receipt], volunteer: Person, client_for: ClientFor
) -> None:
    shown = client_for(volunteer).get(f"{reverse('receipts:all')}?{query}").content.decode()
    assert [row.code for row in rows if f">{row.code}<" in shown] == found
    if found:
        assert f"{len(found)} receipt" in shown


def test_the_download_is_what_is_shown(rows: list[Receipt], volunteer: Person, client_for: ClientFor) -> None:
    answer = client_for(volunteer).get(f"{reverse('receipts:all')}?words=N1&format=csv")
    text = b"".join(answer).decode()
    assert (
        text.splitlines()[0].lstrip("\ufeff")
        == "Receipt,Date,Store,Number,Who paid,Paid with,State,Photo,Total"
    )
    assert text.splitlines()[1:] == [
        "R-00002,2026-03-03,Northside Counter,N1,Tavi Brandt,my own money,posted,no photo,175.00"
    ]


def test_the_shelf_answers_do_we_have_this(
    rows: list[Receipt], volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    assert "L-0001" in client.get(reverse("shelf:lots") + "?words=bulb").content.decode()
    assert (
        "Nothing fits this search." in client.get(reverse("shelf:lots") + "?words=unicorn").content.decode()
    )


def test_open_cores_are_listed_and_ended_ones_on_request(
    rows: list[Receipt], volunteer: Person, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    client.post(
        reverse("shelf:return", args=["K-0001"]),
        {"kind": "full", "to": "bank", "on": "2026-03-10", "confirm": "yes"},
    )
    client.get(reverse("shelf:cores"))  # takes the word that it was done off the next page
    shown = client.get(reverse("shelf:cores")).content.decode()
    assert "K-0001" not in shown
    assert "K-0002" in shown
    assert "K-0001" in client.get(reverse("shelf:cores") + "?state=ended").content.decode()


@pytest.mark.parametrize("name", LISTS)
def test_an_empty_list_says_so(name: str, treasurer: Person, client_for: ClientFor) -> None:
    assert 'class="empty"' in client_for(treasurer).get(reverse(name)).content.decode()


def test_a_late_receipt_is_told_with_its_rule(
    volunteer: Person, owner: Person, repair: Callable[..., str], client_for: ClientFor
) -> None:
    repair("RO-0001")
    parts = line("part 1", "10.00", ("part", "RO-0001"))
    why = {"on": date(2026, 1, 1), "late_reason": "found in the van"}
    late = save_draft(by=volunteer, data=paper(volunteer, "10.00", "0.00", parts, number="1", **why))
    post_receipt(by=owner, receipt=late)
    fresh = _buy(volunteer, 2, "RO-0001")
    client = client_for(volunteer)
    assert "Handed in late" in client.get(reverse("receipts:receipt", args=[late.code])).content.decode()
    assert "Handed in late" not in client.get(reverse("receipts:receipt", args=[fresh.code])).content.decode()


def test_an_evening_at_the_fund_is_not_late_because_it_is_tomorrow_in_greenwich(
    volunteer: Person, repair: Callable[..., str], client_for: ClientFor
) -> None:
    """Sixty days after the paper, at eight in the evening in Chicago, it is already the sixty-first day in UTC."""
    repair("RO-0001")
    on = date(2026, 1, 14)
    evening = datetime(2026, 3, 15, 20, tzinfo=ZoneInfo("America/Chicago"))
    assert ((evening.date() - on).days, (evening.astimezone(UTC).date() - on).days) == (60, 61)
    with clock.at(evening):
        data = paper(
            volunteer, "10.00", "0.00", line("part 1", "10.00", ("part", "RO-0001")), number="1", on=on
        )
        handed_in = save_draft(by=volunteer, data=data)
        page = reverse("receipts:receipt", args=[handed_in.code])
        assert "Handed in late" not in client_for(volunteer).get(page).content.decode()
        post_receipt(by=volunteer, receipt=handed_in)
        assert "Handed in late" not in client_for(volunteer).get(page).content.decode()
        (claim,) = open_claims(volunteer)
    assert claim.expected == date(
        2026, 3, 29
    )  # fourteen days after March 15, the day on the wall of the shop
    assert claim.flag == ""
