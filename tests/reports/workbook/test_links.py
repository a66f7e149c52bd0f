"""In the accountant's workbook the code of a photo opens the photo, after signing in."""

import io
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from fixtures.demo_writer.pictures import receipt_photo
from fund.access.models import Person
from fund.attachments.actions import store
from fund.attachments.models import Attachment
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from reports.workbook.rules import link_to
from tests.conftest import TODAY
from tests.reports.workbook.reading import written

SITE = "https://books.example.org"
MONTHS = ("--from", "2026-03", "--to", "2026-03")


@pytest.fixture
def photo(volunteer: Person) -> Attachment:
    """A posted receipt with a photo, and one without."""
    printed = {
        "store": "Gantry Parts", "number": "4471", "on": "2026-03-15", "lines": [{"text": "rags", "amount": 1200}],
        "tax": 0, "total": 1200, "tender": "own_money",
    }  # fmt: skip
    upload = SimpleUploadedFile("paper.jpg", receipt_photo(printed), "image/jpeg")
    kept = store(by=volunteer, upload=upload, subject="receipt", power="receipt.see")
    for number, on, paper in (("4471", TODAY, kept), ("4400", TODAY - timedelta(days=1), None)):
        lines = [LineInput("rags", Money(12_00), [PortionInput("supplies")], taxable=False)]
        data = ReceiptInput("Gantry Parts", number, on, Money(12_00), Money(0), "own_money", volunteer, lines)
        post_receipt(by=volunteer, receipt=save_draft(by=volunteer, data=data, photo=paper))
    return kept


def photos(path: Path | io.BytesIO) -> list[object]:
    rows = load_workbook(path)["Receipts"].iter_rows(min_row=2, values_only=True)
    return [row[11] for row in rows if str(row[0]).startswith("R-")]


def test_the_page_makes_a_link_that_the_accountant_can_open(
    accountant: Person, photo: Attachment, client_for: Callable[[Person], Client]
) -> None:
    client = client_for(accountant)
    answer = client.post("/crew/books/workbook/", {"start": "2026-03", "end": "2026-03"})
    cells = photos(io.BytesIO(b"".join(answer.streaming_content)))  # type: ignore[attr-defined]
    page = reverse("attachments:file", args=[photo.code])
    assert cells == [f'=HYPERLINK("http://testserver{page}","{photo.code}")', None]
    assert client.get(page).status_code == 200
    assert Client().get(page).status_code == 404


def test_the_command_makes_links_when_it_is_told_the_address(
    owner: Person, photo: Attachment, tmp_path: Path
) -> None:
    file = tmp_path / "books.xlsx"
    call_command("workbook", *MONTHS, "--site", f"{SITE}/", str(file))
    page = reverse("attachments:file", args=[photo.code])
    assert photos(file)[0] == f'=HYPERLINK("{SITE}{page}","{photo.code}")'
    call_command("workbook", *MONTHS, str(file))
    assert photos(file)[0] == photo.code
    assert all("HYPERLINK" not in str(cell) for row in written(file)["Receipts"] for cell in row)


@pytest.mark.parametrize(
    "address", ['https://a.example/","x")&cmd("', "books.example.org", "javascript:alert(1)"]
)
def test_what_no_link_can_begin_with_is_refused(owner: Person, tmp_path: Path, address: str) -> None:
    file = tmp_path / "books.xlsx"
    with pytest.raises(CommandError, match="is no web address") as refused:
        call_command("workbook", *MONTHS, "--site", address, str(file))
    assert refused.value.returncode == 2
    assert not file.exists()


def test_a_quotation_mark_never_gets_into_a_formula() -> None:
    with pytest.raises(ValueError, match="codes and addresses"):
        link_to(SITE, 'P-1"')
