"""Two people with the same draft open: the second to save is told, keeps all that was typed, and writes over nothing."""

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.fingerprint import ChangedMeanwhile, fingerprint
from fund.receipts.models import Receipt
from fund.refusal import AlreadyDone
from tests.fund.attachments.makers import photo
from tests.fund.receipts.makers import line, m, paper

ClientFor = Callable[[Person], Client]
EDIT = "/crew/receipts/R-00001/edit/"


@pytest.fixture
def draft(volunteer: Person, repair: Callable[..., str]) -> Receipt:
    pads = line("front pads", "80.00", ("part", repair()))
    return save_draft(by=volunteer, data=paper(volunteer, "86.60", "6.60", pads))


def _page(client: Client) -> dict[str, Any]:
    """The form as a browser would send it back untouched."""
    shown = client.get(EDIT).content.decode()
    sent: dict[str, Any] = {"save": "yes"}
    for tag in re.findall(r"<input[^>]*>", shown):
        told = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if told.get("type") in ("file", "submit") or "name" not in told:
            continue
        box = told.get("type") == "checkbox"
        if not box or " checked" in tag:
            sent[told["name"]] = unescape(told.get("value", "on" if box else ""))
    for name, inside in re.findall(r'<select name="([^"]+)".*?>(.*?)</select>', shown, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', inside)
        sent[name] = chosen[1] if chosen else ""
    return sent


def test_corrections_saved_meanwhile_are_not_written_over_by_an_older_page(
    draft: Receipt, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    older = _page(tavi)
    fixed = _page(jun) | {"note": "the pads are for the rear", "lines-0-text": "rear pads"}
    assert jun.post(EDIT, fixed)["Location"] == reverse("receipts:receipt", args=["R-00001"])
    mine = older | {"number": "4472", "note": "my own words"}
    answer = tavi.post(EDIT, mine)
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert (
        "Jun Okafor changed R-00001 after this page was opened. Nothing was saved over it; what you typed is still below."
        in shown
    )
    assert f'<a href="{reverse("receipts:receipt", args=["R-00001"])}" target="_blank"' in shown
    assert 'value="my own words"' in shown
    assert 'value="4472"' in shown
    draft.refresh_from_db()
    assert (draft.number, draft.note) == ("4471", "the pads are for the rear")
    assert draft.lines.get().text == "rear pads"


def test_once_told_the_second_may_put_theirs_in_its_place(
    draft: Receipt, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    older = _page(tavi) | {"note": "my own words"}
    jun.post(EDIT, _page(jun) | {"note": "hers"})
    told = tavi.post(EDIT, older).content.decode()
    seen = re.search(r'name="seen" value="([^"]+)"', told)
    assert seen is not None
    assert "Save mine in its place" in told
    assert tavi.post(EDIT, older).status_code == 422  # the same page pressed twice was told nothing more
    assert tavi.post(EDIT, older | {"seen": seen[1]}).status_code == 302
    draft.refresh_from_db()
    assert draft.note == "my own words"


def test_the_same_page_sent_twice_saves_once_and_says_nothing(
    draft: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    tavi = client_for(volunteer)
    mine = _page(tavi) | {"note": "for the front axle"}
    assert [tavi.post(EDIT, mine).status_code for _ in range(2)] == [302, 302]
    assert Receipt.objects.get().note == "for the front axle"


def test_a_photo_put_there_meanwhile_counts_as_a_change(
    draft: Receipt, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    older = _page(tavi)
    picture = SimpleUploadedFile("a.jpg", photo(), "image/jpeg")
    jun.post(reverse("receipts:photo", args=["R-00001"]), {"photo": picture})
    assert tavi.post(EDIT, older | {"note": "late"}).status_code == 422
    draft.refresh_from_db()
    assert draft.photo is not None


def test_a_form_that_does_not_say_what_it_saw_saves_over_nothing(
    draft: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    mine = _page(client_for(volunteer)) | {"note": "x", "seen": ""}
    assert client_for(volunteer).post(EDIT, mine).status_code == 422


def test_the_action_compares_by_content_and_not_by_time(draft: Receipt, volunteer: Person) -> None:
    was = fingerprint(draft)
    pads = line("front pads", "80.00", ("part", "RO-0001"))
    same, other = paper(volunteer, "86.60", "6.60", pads), paper(volunteer, "86.60", "6.60", pads, number="1")
    save_draft(by=volunteer, data=same, receipt=draft, seen=was)
    assert fingerprint(draft) == was
    save_draft(by=volunteer, data=other, receipt=draft, seen=was)
    with pytest.raises(ChangedMeanwhile):
        save_draft(by=volunteer, data=same, receipt=draft, seen=was)
    draft.refresh_from_db()
    assert (draft.number, draft.lines.get().amount) == ("1", m("80.00"))


def test_a_draft_posted_meanwhile_is_still_refused_as_posted(draft: Receipt, volunteer: Person) -> None:
    was = fingerprint(draft)
    post_receipt(by=volunteer, receipt=draft)
    pads = line("front pads", "80.00", ("part", "RO-0001"))
    with pytest.raises(AlreadyDone, match="R-00001 is in the books and stays as it is"):
        save_draft(by=volunteer, data=paper(volunteer, "86.60", "6.60", pads), receipt=draft, seen=was)


def _post(client: Client, seen: str | None) -> str:
    told = {} if seen is None else {"seen": seen}
    return client.post(reverse("receipts:post", args=["R-00001"]), told, follow=True).content.decode()


def _seen(client: Client) -> str:
    shown = client.get(reverse("receipts:receipt", args=["R-00001"])).content.decode()
    found = re.search(r'name="seen" value="([^"]+)"', shown)
    assert found is not None
    return found[1]


def test_what_was_changed_after_the_page_was_opened_is_read_again_before_it_is_posted(
    draft: Receipt, volunteer: Person, volunteer2: Person, client_for: ClientFor
) -> None:
    tavi, jun = client_for(volunteer), client_for(volunteer2)
    older = _seen(tavi)
    jun.post(EDIT, _page(jun) | {"lines-0-amount": "90.00", "total": "96.60"})
    shown = _post(tavi, older)
    assert "Jun Okafor changed R-00001 after this page was opened. Nothing was posted" in unescape(shown)
    assert "Post $96.60" in shown
    draft.refresh_from_db()
    assert (draft.state, draft.total) == ("draft", m("96.60"))
    assert "R-00001 is in the books." in _post(tavi, _seen(tavi))


def test_a_page_that_does_not_say_what_it_showed_posts_nothing(
    draft: Receipt, volunteer: Person, client_for: ClientFor
) -> None:
    _post(client_for(volunteer), None)
    draft.refresh_from_db()
    assert draft.state == "draft"
