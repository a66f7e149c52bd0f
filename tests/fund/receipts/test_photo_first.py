"""A photo is read on this machine into a draft; what was typed stays, what is doubtful is said, nothing is booked."""

import re
from collections.abc import Callable

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.ledger.models import Entry
from fund.money import Money
from fund.receipts.models import Receipt
from fund.receipts.reading import engine
from tests.bench.reading import reading_of, right, wrongly_trusted
from tests.fund.attachments.makers import photo
from tests.fund.receipts.draw.paper import jpeg, papers

pytestmark = pytest.mark.usefixtures("patient")
ClientFor = Callable[[Person], Client]
NEW = "/crew/receipts/new/"


def _empty(person: Person, **typed: str) -> dict[str, str]:
    rows = {"lines-TOTAL_FORMS": "3", "lines-INITIAL_FORMS": "0", "store": "", "total": "", "tax": ""}
    return {**rows, "on": "2026-03-15", "tender": "own_money", "buyer": str(person.pk), **typed}


def _read(client: Client, data: dict[str, str], name: str = "paper04") -> str:
    paper = next(paper for paper in papers() if paper["name"] == name)
    photo = SimpleUploadedFile("slip.jpg", jpeg(paper), "image/jpeg")
    answer = client.post(NEW, {**data, "read": "yes", "photo": photo})
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_photo_fills_the_boxes_and_books_nothing(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    paper = next(paper for paper in papers() if paper["name"] == "paper04")
    entries = Entry.objects.count()
    page = _read(client_for(volunteer), _empty(volunteer))
    for value in (paper["number"], paper["on"], str(Money(paper["total"]))):
        assert f'value="{value}"' in page
    assert all(f'value="{text}"' in page for text, _ in paper["lines"])
    assert "The amounts prove each other" in page
    assert "Kept: " in page
    assert (Receipt.objects.count(), Entry.objects.count()) == (0, entries)


def test_what_was_typed_is_not_written_over(volunteer: Person, bank: None, client_for: ClientFor) -> None:
    typed = {"store": "My own words", "total": "1.00", "lines-0-text": "typed line", "lines-0-amount": "1.00"}
    page = _read(client_for(volunteer), _empty(volunteer, **typed))
    for value in ("My own words", "1.00", "typed line"):
        assert f'value="{value}"' in page
    assert papers()[3]["lines"][0][0] not in page


def test_without_a_photo_the_page_says_what_to_do(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).post(NEW, {**_empty(volunteer, store="Gantry Parts"), "read": "yes"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Choose the photo first" in page
    assert 'value="Gantry Parts"' in page


def test_what_does_not_add_up_is_marked_field_by_field(
    volunteer: Person, bank: None, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fund.receipts.reading.rules import Box

    def boxes(*_: object) -> list[Box]:
        rows = ("GANTRY PARTS", "PADS 80.00", "TAX 6.60", "TOTAL 88.60")
        corners = [((0.0, y), (200.0, y), (200.0, y + 20), (0.0, y + 20)) for y in (0.0, 40.0, 80.0, 120.0)]
        return [Box(text, place, 0.99) for text, place in zip(rows, corners, strict=True)]

    monkeypatch.setattr("fund.receipts.reading.photo.boxes_on", boxes)
    monkeypatch.setattr("fund.receipts.reading.photo.load", lambda: None)
    page = _read(client_for(volunteer), _empty(volunteer))
    assert "Lines, Tax, Total: Lines 80.00 + tax 6.60 = 86.60, but the total reads 88.60." in page
    assert "Receipt number, Date: Not found on the photo." in page
    assert "prove each other" not in page


@pytest.mark.parametrize("name", ["paper02", "paper06", "paper33"])
def test_the_engine_reads_a_handful_of_drawn_papers(name: str) -> None:
    """The bench reads all of them; here noise, tilt with blur, and worn print with blur."""
    paper = next(paper for paper in papers() if paper["name"] == name)
    got = reading_of(paper)
    assert right(paper, got)["total"] == (1, 1)
    assert not wrongly_trusted(paper, got)


def test_there_are_at_least_thirty_papers_of_many_looks() -> None:
    assert len(papers()) >= 30
    for looks, least in (("layout", 4), ("font", 7), ("harm", 8), ("day_shape", 4)):
        assert len({paper[looks] for paper in papers()}) >= least


def test_the_engine_is_loaded_once_and_not_at_the_start() -> None:
    assert engine._engine() is engine._engine()


def test_the_same_form_sent_twice_with_its_photo_makes_one_draft(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    form = _empty(volunteer, store="Gantry Parts", total="5.00", form_token="a" * 32)
    form |= {"lines-0-text": "rags", "lines-0-amount": "5.00", "lines-0-home": "supplies"}
    client, picture = client_for(volunteer), jpeg(papers()[0])
    first, second = (
        client.post(NEW, {**form, "photo": SimpleUploadedFile("a.jpg", picture, "image/jpeg")})
        for _ in range(2)
    )
    assert first.headers["Location"] == second.headers["Location"]
    assert (
        "This form was sent twice and done once." in client.get(second.headers["Location"]).content.decode()
    )
    assert (Receipt.objects.count(), Attachment.objects.count()) == (1, 1)


def test_another_paper_written_over_the_first_one_in_the_same_page_is_asked_about_and_then_kept(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    """Somebody goes back in the browser and types the next receipt over the last."""
    form = _empty(volunteer, store="Gantry Parts", total="5.00", form_token="a" * 32)
    client = client_for(volunteer)
    client.post(NEW, form)
    asked = client.post(NEW, {**form, "total": "7.00"})
    shown = asked.content.decode()
    assert asked.status_code == 422
    assert "This form was sent before: R-00001 is kept." in shown
    assert 'value="7.00"' in shown
    token = re.search(r'name="form_token" value="([0-9a-f]{32})"', shown)
    assert token is not None
    client.post(NEW, {**form, "total": "7.00", "form_token": token[1]})
    assert [str(row.total) for row in Receipt.objects.order_by("code")] == ["5.00", "7.00"]


def test_a_like_photo_of_another_receipt_is_told(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    client = client_for(volunteer)
    paper = papers()[0]
    form = _empty(volunteer, store="Gantry Parts", total="5.00")
    client.post(NEW, {**form, "photo": SimpleUploadedFile("a.jpg", jpeg(paper, 90), "image/jpeg")})
    again = SimpleUploadedFile("b.jpg", jpeg(paper, 60), "image/jpeg")
    second = client.post(NEW, {**form, "photo": again}, follow=True)
    assert "The photo looks like that of" in second.content.decode()
    assert Receipt.objects.count() == 2


def test_a_lost_receipt_without_a_signature_comes_back_with_all_that_was_typed(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    form = _empty(volunteer, store="Gantry Parts", total="5.00", missing="on", missing_how="blew away")
    answer = client_for(volunteer).post(NEW, form)
    assert answer.status_code == 422
    assert "your signature stands for it" in answer.content.decode()
    assert 'value="blew away"' in answer.content.decode()


def test_a_photo_read_and_left_is_no_other_record(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    """Somebody reads a photo, leaves the page, and comes back with the same photo: there is one receipt, and one photo of it."""
    client, picture = client_for(volunteer), photo()
    form = _empty(volunteer, store="Gantry Parts", total="5.00")
    for more in ({"add": "3"}, {}):
        upload = SimpleUploadedFile("a.jpg", picture, "image/jpeg")
        shown = client.post(NEW, {**form, **more, "photo": upload}, follow=True).content.decode()
    assert "The very same photo" not in shown
    again = SimpleUploadedFile("b.jpg", picture, "image/jpeg")
    second = client.post(NEW, {**form, "number": "2", "photo": again}, follow=True).content.decode()
    assert "The very same photo is with" in second
    assert '<a href="/crew/receipts/R-00001/">R-00001</a> too.' in second
    client.post(reverse("receipts:drop", args=["R-00001"]), {"reason": "typed twice", "confirm": "yes"})
    assert "The very same photo" not in client.get("/crew/receipts/R-00002/").content.decode()
