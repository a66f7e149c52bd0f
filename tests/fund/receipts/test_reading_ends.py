"""Reading a photo or a PDF ends after a stated time with a sentence; nothing typed is lost. No test waits for it."""

import subprocess
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from threading import Event, Lock
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.receipts.models import Receipt
from fund.receipts.reading import cap, document, engine
from fund.receipts.reading.cap import Deadline, TooLong
from fund.receipts.reading.pages import LONG_SIDE, first_pages, scans_of, text_of
from tests.fund.receipts.draw.paper import jpeg, papers
from tests.fund.receipts.test_photo_first import NEW, _empty
from tests.fund.receipts.test_read_a_pdf import _printed

ClientFor = Callable[[Person], Client]
ENDED = "Reading took longer than 0 seconds and was ended."


@pytest.fixture
def out_of_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every reading is over as soon as it begins."""
    monkeypatch.setattr(cap, "SECONDS", 0)


@pytest.fixture
def never() -> Iterator[Callable[..., Any]]:
    """A reader that does not come back before the test is over."""
    over = Event()
    yield lambda *_: over.wait(60)
    over.set()


def test_the_time_stated_is_below_that_of_a_web_server() -> None:
    assert 0 < cap.SECONDS < 30
    assert "longer than 20 seconds" in TooLong(20).sentence


def test_what_is_done_in_time_is_given_and_what_goes_wrong_is_told() -> None:
    assert Deadline(60).run(lambda: 3) == 3
    with pytest.raises(ZeroDivisionError):
        Deadline(60).run(lambda: 1 // 0)


def test_what_never_ends_is_not_waited_for(never: Callable[..., Any]) -> None:
    with pytest.raises(TooLong):
        Deadline(0).run(never)


def test_time_is_shared_by_all_that_a_reading_does() -> None:
    first = Deadline(60)
    assert 0 < first.left <= 60
    assert Deadline(0).left == 0


def test_a_photo_that_takes_for_ever_leaves_everything_typed_and_the_photo(
    volunteer: Person,
    bank: None,
    client_for: ClientFor,
    monkeypatch: pytest.MonkeyPatch,
    never: Callable[..., Any],
    out_of_time: None,
) -> None:
    monkeypatch.setattr(engine, "_engine", lambda: never)
    monkeypatch.setattr(engine, "_ONE_AT_A_TIME", Lock())
    typed = {"store": "My own words", "total": "9.31", "lines-0-text": "typed line", "lines-0-amount": "9.31"}
    slip = SimpleUploadedFile("slip.jpg", jpeg(papers()[0]), "image/jpeg")
    answer = client_for(volunteer).post(NEW, {**_empty(volunteer, **typed), "read": "yes", "photo": slip})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert ENDED in page
    assert all(f'value="{value}"' in page for value in typed.values())
    assert f'value="{Attachment.objects.get().code}"' in page
    assert not Receipt.objects.exists()


def test_whoever_waits_behind_a_long_reading_is_told_so_too(monkeypatch: pytest.MonkeyPatch) -> None:
    busy = Lock()
    busy.acquire()
    monkeypatch.setattr(engine, "_ONE_AT_A_TIME", busy)
    with pytest.raises(TooLong):
        engine.boxes_of(Image.new("RGB", (8, 8)), Deadline(0))


def test_a_pdf_that_takes_for_ever_is_stopped_and_leaves_everything_typed(
    volunteer: Person, bank: None, client_for: ClientFor, out_of_time: None
) -> None:
    slip = SimpleUploadedFile("order.pdf", _printed(papers()[3]), "application/pdf")
    typed = _empty(volunteer, store="My own words", total="9.31")
    answer = client_for(volunteer).post(NEW, {**typed, "read": "yes", "photo": slip})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert ENDED in page
    assert 'value="My own words"' in page
    assert 'value="9.31"' in page


def test_whoever_reads_a_pdf_is_told_no_key_and_given_what_is_left_of_the_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: dict[str, Any] = {}

    def run(command: list[str], **told: Any) -> "subprocess.CompletedProcess[bytes]":
        seen.update(told)
        return subprocess.CompletedProcess(
            command, 0, b'{"rows": [["TOTAL 9.31", 1.0]], "pictures": []}', b""
        )

    monkeypatch.setenv("SECRET_KEY", "a word nobody may know")
    monkeypatch.setattr(document.subprocess, "run", run)
    assert [row.text for row in document.rows_in(tmp_path / "a.pdf", Deadline(7))] == ["TOTAL 9.31"]
    assert 0 < seen["timeout"] <= 7
    assert set(seen["env"]) == {"PYTHONPATH"}


def test_a_scanned_page_is_handed_over_no_larger_than_it_is_read(tmp_path: Path) -> None:
    out = BytesIO()
    Image.new("L", (3000, 1000), 255).save(out, "PDF")
    path = tmp_path / "scan.pdf"
    path.write_bytes(out.getvalue())
    pages = first_pages(path)
    assert text_of(pages) == []
    assert [max(scan.size) for scan in scans_of(pages)] == [LONG_SIDE]
