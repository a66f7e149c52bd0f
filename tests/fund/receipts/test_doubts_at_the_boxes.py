"""What is doubtful on a photo is marked at its own box, and stays marked until somebody changes what stands in it."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fund.access.models import Person
from fund.receipts.filling import kept, still
from fund.receipts.models import Receipt
from fund.receipts.reading.rules import Box
from tests.fund.receipts.draw.paper import jpeg, papers
from tests.fund.receipts.test_photo_first import NEW, _empty

pytestmark = pytest.mark.usefixtures("patient")
ClientFor = Callable[[Person], Client]


@pytest.fixture
def misread(monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo whose total does not fit its lines, with one line that is hard to read and no number."""
    rows = (("GANTRY PARTS", 0.99), ("03/12/2026", 0.6), ("PADS 80.00", 0.99), ("BELT 20.00", 0.5), ("TAX 6.60", 0.99),
            ("TOTAL 108.60", 0.99))  # fmt: skip

    def boxes(*_: object) -> list[Box]:
        found = []
        for at, (text, score) in enumerate(rows):
            y = 40.0 * at
            found.append(Box(text, ((0.0, y), (200.0, y), (200.0, y + 20), (0.0, y + 20)), score))
        return found

    monkeypatch.setattr("fund.receipts.reading.photo.boxes_on", boxes)
    monkeypatch.setattr("fund.receipts.reading.photo.load", lambda: None)


def _marked(page: str) -> dict[str, str]:
    """Id of each doubt on the page, with its sentence."""
    found = re.findall(
        r'<span class="doubt" id="id_([\w-]+)_doubt"><strong>[^<]*</strong> ([^<]*)</span>', page
    )
    return {name: unescape(words) for name, words in found}


def _read(client: Client, person: Person, **typed: str) -> str:
    photo = SimpleUploadedFile("slip.jpg", jpeg(papers()[0]), "image/jpeg")
    data = {**_empty(person, **typed), "read": "yes", "photo": photo}
    return client.post(NEW, data).content.decode()


def _carried(page: str) -> str:
    found = re.search(r'name="doubtful" value="([^"]*)"', page)
    assert found
    return unescape(found[1])


def test_each_doubtful_figure_is_marked_at_its_box_with_the_reason(
    misread: None, volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    page = _read(client_for(volunteer), volunteer)
    off = "Lines 100.00 + tax 6.60 = 106.60, but the total reads 108.60."
    assert _marked(page) == {
        "number": "Not found on the photo.",
        "on": "Hard to read on the photo.",
        "total": off,
        "tax": off,
        "lines-0-amount": "not proved by the sum.",
        "lines-1-amount": "hard to read.",
    }
    assert 'aria-describedby="id_total_doubt"' in page


def test_what_was_typed_by_hand_is_not_doubted(
    misread: None, volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    page = _read(client_for(volunteer), volunteer, total="106.60", number="77")
    assert not {"total", "number"} & set(_marked(page))


def test_a_mark_stays_through_more_rows_and_mistakes_until_its_box_is_changed(
    misread: None, volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    carried = _carried(_read(client, volunteer))
    typed = _empty(
        volunteer, store="Gantry Parts", on="2026-03-12", tax="6.60", total="108.60", doubtful=carried
    )
    typed |= {
        "lines-0-text": "PADS",
        "lines-0-amount": "80.00",
        "lines-1-text": "BELT",
        "lines-1-amount": "22.00",
    }
    more = client.post(NEW, {**typed, "add": "3"}).content.decode()
    assert set(_marked(more)) == {"number", "on", "total", "tax", "lines-0-amount"}
    wrong = client.post(NEW, {**typed, "doubtful": _carried(more), "total": "106.60", "save": "yes"})
    assert wrong.status_code == 422
    assert set(_marked(wrong.content.decode())) == {"number", "on", "tax", "lines-0-amount"}


def test_a_mark_is_no_obstacle_to_keeping_the_draft(
    misread: None, volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    carried = _carried(_read(client, volunteer))
    typed = _empty(
        volunteer, store="Gantry Parts", on="2026-03-12", total="108.60", doubtful=carried, save="yes"
    )
    assert client.post(NEW, typed).status_code == 302
    assert Receipt.objects.count() == 1


@pytest.mark.parametrize(
    "text", ["", "x", "[]", "[1]", '{"a": 1}', '{"a": ["b"]}', "null", '{"a": ["b", "c", "d"]}']
)
def test_doubts_that_were_meddled_with_are_none(text: str) -> None:
    assert kept(text) == {}


def test_a_doubt_is_about_the_value_that_was_read() -> None:
    doubts = {"total": ("108.60", "why"), "number": ("", "not found")}
    assert still(doubts, {"total": " 108.60 ", "number": ""}) == doubts
    assert still(doubts, {"total": "106.60", "number": "7"}) == {}
