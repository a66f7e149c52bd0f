"""Pages of cash counts: sheets numbered without gaps as PDF, voided ones kept, who counted with whom."""

import io
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from fund.access.models import Person
from fund.gifts.actions_cash import bank_deposit, count_cash, void_count
from fund.gifts.models import CashCount, GiftException
from fund.gifts.proofs import undeposited_breaks
from fund.gifts.queries_counts import pairs
from fund.money import Money
from tests.fund.gifts.cases import ON, last
from tests.fund.gifts.pages import SignIn, links, read, send, send_and_confirm, text_of


def counted(one: Person, two: Person, ones: int, receipts: int | None = None, note: str = "") -> CashCount:
    return count_cash(
        by=one,
        second=two,
        on=ON,
        place="jar",
        denominations={100: ones},
        receipts=None if receipts is None else Money(receipts),
        note=note,
    )


def sheet(client: Any, code: str) -> str:
    answer = client.get(reverse("gifts:count-sheet", args=[code]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)


def test_sheets_are_numbered_without_a_gap_and_a_void_one_keeps_its_number(
    treasurer: Person, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    codes = [counted(owner, volunteer, ones).code for ones in (3, 5)]
    void_count(by=treasurer, count=CashCount.objects.get(code="C-0002"), reason="the wrong jar")
    codes.append(counted(volunteer, owner, 7).code)
    assert codes == ["C-0001", "C-0002", "C-0003"]
    client = client_for(volunteer)
    for code, total in zip(codes, ("3.00", "5.00", "7.00"), strict=True):
        words = sheet(client, code)
        assert f"Cash count {code}" in words
        assert total in words
        assert "Maren Holt" in words
        assert "Tavi Brandt" in words
    assert "Void. the wrong jar" in sheet(client, "C-0002")
    assert "Void." not in sheet(client, "C-0003")
    assert list(undeposited_breaks()) == []
    page = links(read(client, "counts"))
    assert all(code in page for code in codes)


def test_a_count_refused_takes_no_number(owner: Person, volunteer: Person, client_for: SignIn) -> None:
    told = {"on": "2026-03-14", "place": "jar", "face_100": "4", "second_name": "tavi"}
    client = client_for(owner)
    assert "do not go together" in send(client, "count-new", **told, second_password="guessed")
    send(client, "count-new", **told, second_password="long road to the mill")
    assert CashCount.objects.get().code == "C-0001"


def test_a_sheet_tells_what_was_short_and_what_was_spent(
    owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    counted(owner, volunteer, 207, receipts=212_00, note="one receipt written twice")
    words = sheet(client_for(owner), "C-0001")
    assert "212.00" in words
    assert "Short" in words
    assert "5.00" in words
    assert "one receipt written twice" in words


def test_a_wrong_count_is_voided_after_a_question(
    treasurer: Person, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    counted(owner, volunteer, 64)
    client = client_for(treasurer)
    assert "It is wrong: void it" in read(client, "count", "C-0001")
    asked, done = send_and_confirm(client, "count-void", "C-0001", reason="the wrong jar")
    assert "Void count C-0001 of $64.00?" in asked
    assert "The sheet keeps its number and its signatures." in asked
    assert "C-0001 is void." in done
    assert "the wrong jar" in done
    assert last() == [("1010", "general", "-64.00", ""), ("4000", "general", "64.00", "")]
    assert "void it" not in links(read(client, "count", "C-0001"))


def test_a_banked_count_is_not_voided(
    treasurer: Person, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    bank_deposit(by=treasurer, on=ON, counts=[counted(owner, volunteer, 64)])
    client = client_for(treasurer)
    assert "void it" not in links(read(client, "count", "C-0001"))
    page = send(client, "count-void", "C-0001", reason="too late", confirm="yes")
    assert "was banked with D-0001" in page
    assert "too late" in page


def test_the_list_shows_who_counted_with_whom_and_how_often_it_was_short(
    owner: Person, volunteer: Person, volunteer2: Person, client_for: SignIn
) -> None:
    for first, second in ((owner, volunteer), (volunteer, owner)):
        counted(first, second, 9, receipts=10_00, note="short again")
    counted(owner, volunteer2, 9)
    page = links(read(client_for(owner), "counts"))
    rows = page.split("Who counted with whom</h2>", 1)[1].split("<tr")[2:]
    assert ["Maren Holt and Tavi Brandt" in rows[0], "Jun Okafor and Maren Holt" in rows[1]] == [True, True]
    assert rows[0].count(">2<") == 2  # two counts, two of them short
    assert "2.00" in rows[0]
    found = GiftException.objects.get()
    assert found.code in read(client_for(owner), "count", "C-0002")


def test_counts_are_found_by_whether_they_are_banked(
    treasurer: Person, owner: Person, volunteer: Person, client_for: SignIn
) -> None:
    bank_deposit(by=treasurer, on=ON, counts=[counted(owner, volunteer, 64)])
    counted(owner, volunteer, 5)
    client = client_for(owner)
    assert ">any</option>" in read(client, "counts")
    assert "C-0001" in links(read(client, "counts", banked="true"))
    assert "C-0001" not in links(read(client, "counts", banked="false"))


def test_who_counted_with_whom_is_added_up_by_the_database(
    treasurer: Person, owner: Person, volunteer: Person, volunteer2: Person
) -> None:
    """By hand: Tavi and Jun are short by 5.00 and 1.00 and over by 2.00, in either order; a void count is no count."""
    for one, two, ones, taken in (
        (volunteer, volunteer2, 207, 212_00),
        (volunteer2, volunteer, 100, 101_00),
        (volunteer, volunteer2, 52, 50_00),
        (owner, volunteer, 9, None),
    ):
        counted(one, two, ones, taken, "counted twice")
    wrong = counted(owner, volunteer2, 3, 4_00, "counted twice")
    void_count(by=treasurer, count=wrong, reason="the wrong jar")
    with CaptureQueriesContext(connection) as asked:
        found = pairs()
    assert len(asked) == 2
    assert [
        (pair.names, pair.counts, pair.short, str(pair.short_by), str(pair.over_by)) for pair in found
    ] == [
        ("Jun Okafor and Tavi Brandt", 3, 2, "6.00", "2.00"),
        ("Maren Holt and Tavi Brandt", 1, 0, "0.00", "0.00"),
    ]


def test_a_count_signed_by_somebody_who_may_not_count_comes_back_with_all_that_was_typed(
    owner: Person, screener: Person, client_for: SignIn
) -> None:
    told = {
        "on": "2026-03-14",
        "place": "jar by the door",
        "face_2000": "3",
        "face_100": "4",
        "note": "a torn bill",
    }
    signed = {"second_name": "ines", "second_password": "long road to the mill"}
    for address, more in (("count-new", {}), ("scrap-new", {"what": "rotors", "yard": "Weir Yard"})):
        answer = client_for(owner).post(reverse(f"gifts:{address}"), {**told, **signed, **more})
        page = text_of(answer)
        assert answer.status_code == 422
        assert "Ines Moreau cannot sign this. Only an owner, treasurer or volunteer may count cash." in page
        for name, typed in {**told, **more, "second_name": "ines"}.items():
            if name != "place" or address == "count-new":
                assert f'name="{name}" value="{typed}"' in page
        assert "long road to the mill" not in page
    assert not CashCount.objects.exists()
