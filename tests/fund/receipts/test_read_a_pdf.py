"""A receipt that came as a PDF: its own text is read, or the page that was scanned into it; what is broken is said."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import typst
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fund.access.models import Person
from fund.money import Money
from fund.receipts.models import Receipt
from fund.receipts.reading.cap import Deadline
from fund.receipts.reading.document import rows_in
from fund.receipts.reading.pages import first_pages, text_of
from fund.receipts.reading.rules import Row
from fund.receipts.reading.rules_fields import read
from fund.refusal import BadInput
from tests.bench.reading import TODAY, right, wrongly_trusted
from tests.fund.receipts.draw.paper import draw, papers, rows_of
from tests.fund.receipts.test_photo_first import _empty

pytestmark = pytest.mark.usefixtures("patient")
ClientFor = Callable[[Person], Client]


def _printed(paper: dict[str, Any]) -> bytes:
    """The receipt as a store would mail it: a page of text, amounts at the right edge."""

    def word(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

    cells = ", ".join(f"{word(left)}, {word(right_)}" for left, right_ in rows_of(paper))
    page = "#set page(width: 12cm, height: 24cm)\n#set text(size: 10pt)\n"
    page += f"#grid(columns: (1fr, auto), row-gutter: 6pt, align: (left, right), {cells})"
    return bytes(typst.compile(page.encode()))


def _file(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "paper.pdf"
    path.write_bytes(data)
    return path


def _rows(tmp_path: Path, data: bytes) -> list[Row]:
    return rows_in(_file(tmp_path, data), Deadline(300))


@pytest.mark.parametrize("number", range(12))
def test_a_mailed_receipt_is_read_from_its_text_as_it_stands(number: int, tmp_path: Path) -> None:
    paper = papers()[number]
    got = read(text_of(first_pages(_file(tmp_path, _printed(paper)))), TODAY)
    figures = right(paper, got)
    assert figures["total"] == (1, 1)
    assert figures["date"] == (1, 1)
    assert figures["number"] == (1, 1)
    assert figures["lines"][0] == figures["lines"][1]
    assert not wrongly_trusted(paper, got)


def test_a_page_scanned_into_a_pdf_is_read_like_a_photo(tmp_path: Path) -> None:
    paper = next(paper for paper in papers() if paper["name"] == "paper04")
    out = BytesIO()
    draw(paper).convert("RGB").save(out, "PDF")
    got = read(_rows(tmp_path, out.getvalue()), TODAY)
    assert right(paper, got)["total"] == (1, 1)
    assert not wrongly_trusted(paper, got)


def test_an_empty_page_has_no_rows_and_a_broken_file_is_refused_in_a_sentence(tmp_path: Path) -> None:
    assert _rows(tmp_path, bytes(typst.compile(b"#set page(width: 5cm, height: 5cm)"))) == []
    for data in (b"%PDF-1.7\nbroken", b"", b"%PDF-1.4\n" + b"1 0 obj << " * 500):
        with pytest.raises(BadInput, match="could not be read. Type what it says"):
            _rows(tmp_path, data)


def test_only_the_first_pages_are_read(tmp_path: Path) -> None:
    many = "#set page(width: 5cm, height: 5cm)\n" + "\n#pagebreak()\n".join(
        f"page {at}" for at in range(1, 8)
    )
    rows = _rows(tmp_path, bytes(typst.compile(many.encode())))
    assert [row.text for row in rows] == ["page 1", "page 2", "page 3"]


def test_the_form_is_filled_from_a_pdf_and_nothing_is_booked(
    volunteer: Person, bank: None, client_for: ClientFor
) -> None:
    paper = papers()[3]
    slip = SimpleUploadedFile("order.pdf", _printed(paper), "application/pdf")
    answer = client_for(volunteer).post(
        "/crew/receipts/new/", {**_empty(volunteer), "read": "yes", "photo": slip}
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "The amounts prove each other" in page
    assert f'value="{Money(paper["total"])}"' in page
    assert Receipt.objects.count() == 0
