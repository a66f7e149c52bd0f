"""The receipt form: works without JavaScript, loses nothing that was typed, and says what is wrong."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.attachments.models import Attachment
from fund.ledger.models import Entry
from fund.receipts.actions import save_draft
from fund.receipts.fingerprint import fingerprint
from fund.receipts.models import Receipt
from tests.fund.attachments.makers import photo
from tests.fund.receipts.makers import bought, line, m, paper

ClientFor = Callable[[Person], Client]


def _posted(buyer: Person, rows: list[dict[str, Any]], **head: Any) -> dict[str, Any]:
    data = {
        "store": "Gantry Parts",
        "number": "4471",
        "on": "2026-03-03",
        "tax": "12.29",
        "total": "161.29",
        "tender": "own_money",
        "buyer": buyer.pk,
        "lines-TOTAL_FORMS": max(len(rows), 3),
        "lines-INITIAL_FORMS": 0,
        **head,
    }
    for at, row in enumerate(rows):
        data |= {f"lines-{at}-{name}": value for name, value in row.items()}
    return data


def _three(**change: Any) -> list[dict[str, Any]]:
    return [
        {
            "text": "front pads",
            "amount": "80.00",
            "taxed": "on",
            "home": "part",
            "repair": "RO-0001",
            **change,
        },
        {"text": "belt", "amount": "45.00", "taxed": "on", "home": "part", "repair": "RO-0002"},
        {"text": "bulbs", "amount": "24.00", "taxed": "on", "home": "shelf", "quantity": "6"},
    ]


@pytest.fixture
def page(volunteer: Person, repair: Callable[..., str], client_for: ClientFor) -> Client:
    repair("RO-0001"), repair("RO-0002")
    return client_for(volunteer)


def test_from_the_empty_form_to_the_books(page: Client, volunteer: Person) -> None:
    shown = page.get(reverse("receipts:new")).content.decode()
    assert "RO-0001 Household of RO-0001, 500.00 left" in shown
    picture = SimpleUploadedFile("IMG.jpg", photo(), "image/jpeg")
    saved = page.post(reverse("receipts:new"), _posted(volunteer, _three(), photo=picture, save="yes"))
    receipt = Receipt.objects.get()
    assert saved.headers["Location"] == reverse("receipts:receipt", args=[receipt.code])
    assert (receipt.state, Entry.objects.filter(source=receipt.code).count()) == ("draft", 0)
    assert receipt.photo is not None
    assert receipt.photo.subject == receipt.code
    look = page.get(saved.headers["Location"]).content.decode()
    for words in (
        "The fund will owe Tavi Brandt 161.29.",
        "RO-0001 is charged 86.60; 413.40 of the 500.00 approved",
        "25.98 goes onto",
    ):
        assert words in look
    done = page.post(
        reverse("receipts:post", args=[receipt.code]), {"seen": fingerprint(receipt)}, follow=True
    )
    assert f"{receipt.code} is in the books." in done.content.decode()
    receipt.refresh_from_db()
    assert (receipt.state, receipt.owed) == ("posted", m("161.29"))


def test_more_rows_come_with_everything_typed_and_nothing_judged(page: Client, volunteer: Person) -> None:
    picture = SimpleUploadedFile("IMG.jpg", photo(), "image/jpeg")
    half = [{"text": "front pads", "amount": "eighty"}]
    answer = page.post(reverse("receipts:new"), _posted(volunteer, half, total="", photo=picture, add="3"))
    shown = answer.content.decode()
    assert answer.status_code == 200
    assert 'name="lines-5-text"' in shown
    assert 'value="front pads"' in shown
    assert 'value="eighty"' in shown
    assert "Write an amount" not in shown
    kept = Attachment.objects.get()
    assert f'name="kept_photo" value="{kept.code}"' in shown
    assert Receipt.objects.count() == 0


def test_a_photo_sent_with_an_unfinished_form_need_not_be_sent_again(page: Client, volunteer: Person) -> None:
    picture = SimpleUploadedFile("IMG.jpg", photo(), "image/jpeg")
    page.post(reverse("receipts:new"), _posted(volunteer, _three(), total="", photo=picture, save="yes"))
    kept = Attachment.objects.get()
    page.post(reverse("receipts:new"), _posted(volunteer, _three(), kept_photo=kept.code, save="yes"))
    assert Receipt.objects.get().photo == kept


def test_somebody_elses_photo_cannot_be_named(page: Client, volunteer: Person, treasurer: Person) -> None:
    other = Attachment.objects.create(
        code="F-00009", kind="jpeg", path="x", sha256="", upload_sha256="", size=1, name="x", power="receipt.see",
        subject="R-00077", uploaded_by=treasurer, uploaded_at="2026-03-01T00:00Z",
    )  # fmt: skip
    page.post(reverse("receipts:new"), _posted(volunteer, _three(), kept_photo=other.code, save="yes"))
    assert Receipt.objects.get().photo is None


def test_a_photo_that_is_a_program_is_refused_and_all_else_stays(page: Client, volunteer: Person) -> None:
    program = SimpleUploadedFile("IMG_0001.jpg", b"MZ\x90\x00" + b"\0" * 300, "image/jpeg")
    answer = page.post(reverse("receipts:new"), _posted(volunteer, _three(), photo=program, save="yes"))
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "“IMG_0001.jpg” is not a photo" in shown
    assert "a Windows program" in shown
    assert 'value="front pads"' in shown
    assert (Receipt.objects.count(), Attachment.objects.count()) == (0, 0)


def test_a_receipt_three_dollars_short_is_kept_as_a_draft_and_says_why(
    page: Client, volunteer: Person
) -> None:
    saved = page.post(reverse("receipts:new"), _posted(volunteer, _three(), total="164.29"), follow=True)
    shown = saved.content.decode()
    assert (
        "Lines 149.00 + tax 12.29 = 161.29, the receipt says 164.29: 3.00 unexplained. A disposal fee?"
        in shown
    )
    assert "Post $164.29" not in shown
    draft = Receipt.objects.get()
    pressed = {"seen": fingerprint(draft)}
    refused = page.post(reverse("receipts:post", args=[draft.code]), pressed, follow=True).content.decode()
    assert "3.00 unexplained" in refused
    assert Receipt.objects.get().state == "draft"


@pytest.mark.parametrize(
    ("rows", "head", "words"),
    [
        (_three(amount="abc"), {}, "is not an amount of money"),
        (_three(repair=""), {}, "Say which repair."),
        (_three(home=""), {}, "Say where it goes."),
        (_three(text=""), {}, "Say what it is."),
        (_three(amount=""), {}, "Write the amount."),
        (_three(quantity="-2"), {}, "is not a quantity"),
        (_three(quantity="2", shelf_quantity="2"), {}, "Less than the whole quantity"),
        (_three(), {"on": "2026-03-16"}, "has not come yet"),
        (_three(), {"store": ""}, "Say which store it is from."),
        (_three(), {"card_last4": "12a4"}, "last four digits"),
        (_three(), {"tax": "12,29"}, "is not an amount of money"),
    ],
)
def test_bad_input_comes_back_with_a_sentence_and_everything_typed(
    page: Client, volunteer: Person, rows: list[dict[str, Any]], head: dict[str, Any], words: str
) -> None:
    answer = page.post(reverse("receipts:new"), _posted(volunteer, rows, **head))
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert words in shown
    assert 'value="45.00"' in shown
    assert Receipt.objects.count() == 0


def test_a_line_is_split_between_a_repair_and_the_shelf(page: Client, volunteer: Person) -> None:
    coolant = {
        "text": "coolant", "amount": "113.88", "taxed": "on", "home": "fluid", "repair": "RO-0001",
        "quantity": "12", "unit": "quart", "shelf_quantity": "3",
    }  # fmt: skip
    page.post(reverse("receipts:new"), _posted(volunteer, [coolant], tax="9.39", total="123.27"))
    receipt = Receipt.objects.get()
    portions = [(p.home, p.quantity, str(p.amount)) for p in receipt.lines.get().portions.all()]
    assert portions == [("fluid", 9000, "92.45"), ("shelf", 3000, "30.82")]
    edit = page.get(reverse("receipts:edit", args=[receipt.code])).content.decode()
    assert 'name="lines-0-shelf_quantity" value="3"' in edit
    assert 'name="lines-0-quantity" value="12"' in edit


def _unsent() -> list[dict[str, Any]]:
    return [
        {"text": "pump", "amount": "80.00", "taxed": "on"},
        {"text": "core", "amount": "45.00", "taxed": "on", "home": "core"},
        {"text": "rags", "amount": "24.00", "taxed": "on", "home": "supplies"},
        {"text": "", "amount": "", "taxed": "on"},
    ]


def test_all_lines_go_to_one_repair_unless_a_line_says_otherwise(page: Client, volunteer: Person) -> None:
    data = _posted(volunteer, _unsent(), all_home="part", all_repair="RO-0002")
    shown = page.post(reverse("receipts:sum"), data).content.decode()
    assert "It adds up." in shown
    page.post(reverse("receipts:new"), data)
    portions = [
        (part.home, part.cost_object_id, str(part.amount))
        for line in Receipt.objects.get().lines.all()
        for part in line.portions.all()
    ]
    assert portions == [
        ("part", "RO-0002", "86.60"), ("core", "RO-0002", "48.71"), ("supplies", None, "25.98"),
    ]  # fmt: skip


def test_where_all_lines_go_is_kept_through_more_rows_and_needs_its_repair(
    page: Client, volunteer: Person
) -> None:
    data = _posted(volunteer, _unsent(), all_home="part")
    more = page.post(reverse("receipts:new"), {**data, "add": "3"}).content.decode()
    assert '<option value="part" selected>' in more
    answer = page.post(reverse("receipts:new"), data)
    assert (answer.status_code, "Say which repair." in answer.content.decode()) == (422, True)


def test_the_page_of_a_repair_leads_to_a_receipt_for_it(page: Client) -> None:
    shown = page.get(reverse("receipts:new") + "?repair=RO-0002").content.decode()
    assert '<option value="part" selected>' in shown
    assert '<option value="RO-0002" selected>' in shown
    odd = page.get(reverse("receipts:new") + "?repair=%3Cb%3E").content.decode()
    assert "<b>" not in odd


def test_a_draft_is_changed_and_keeps_its_code(page: Client, volunteer: Person) -> None:
    page.post(reverse("receipts:new"), _posted(volunteer, _three(), total="164.29"))
    code = Receipt.objects.get().code
    rows = _three()
    seen = {"seen": fingerprint(Receipt.objects.get()), "lines-INITIAL_FORMS": 3}
    page.post(reverse("receipts:edit", args=[code]), _posted(volunteer, rows, **seen))
    receipt = Receipt.objects.get()
    assert (receipt.code, receipt.total, receipt.lines.count()) == (code, m("161.29"), 3)


def test_a_line_shared_by_two_repairs_opens_as_two_rows(page: Client, volunteer: Person) -> None:
    both = line("hose", "10.01", ("part", "RO-0001", 1000), ("part", "RO-0002", 1000), quantity=2000)
    draft = save_draft(by=volunteer, data=paper(volunteer, "10.01", "0.00", both))
    edit = page.get(reverse("receipts:edit", args=[draft.code])).content.decode()
    assert 'name="lines-0-amount" value="5.01"' in edit
    assert 'name="lines-1-amount" value="5.00"' in edit


def test_a_posted_receipt_is_not_opened_for_change(page: Client, volunteer: Person) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    answer = page.get(reverse("receipts:edit", args=[receipt.code]))
    assert answer.headers["Location"] == reverse("receipts:receipt", args=[receipt.code])


def test_the_running_sum_speaks_while_typing_and_warns_of_a_second_copy(
    page: Client, volunteer: Person
) -> None:
    bought(volunteer, paper(volunteer, "161.29", "0.00", line("rags", "161.29", "supplies")))
    shown = page.post(reverse("receipts:sum"), _posted(volunteer, _three())).content.decode()
    assert "It adds up." in shown
    assert "Entered before?" in shown
    assert "R-00001" in shown
    short = page.post(reverse("receipts:sum"), _posted(volunteer, _three(), total="164.29")).content.decode()
    assert "3.00 unexplained" in short
    unread = page.post(
        reverse("receipts:sum"), _posted(volunteer, _three(), total="x", on="x")
    ).content.decode()
    assert "The total is not written yet." in unread


def test_a_draft_is_thrown_away_after_being_asked_twice(page: Client, volunteer: Person) -> None:
    page.post(reverse("receipts:new"), _posted(volunteer, _three()))
    address = reverse("receipts:drop", args=[Receipt.objects.get().code])
    asked = page.post(address, {"reason": "entered twice"})
    assert "Throw R-00001 away?" in asked.content.decode()
    assert Receipt.objects.count() == 1
    page.post(address, {"reason": "entered twice", "confirm": "yes"})
    assert Receipt.objects.count() == 0


def test_a_photo_is_added_later_and_stays(page: Client, volunteer: Person) -> None:
    receipt = bought(volunteer, paper(volunteer, "20.00", "0.00", line("rags", "20.00", "supplies")))
    address = reverse("receipts:photo", args=[receipt.code])
    page.post(address, {"photo": SimpleUploadedFile("a.png", photo("PNG"))})
    receipt.refresh_from_db()
    assert receipt.photo is not None
    again = page.post(address, {"photo": SimpleUploadedFile("b.png", photo("PNG", size=(70, 70)))})
    assert "has a photo already" in again.content.decode()


def test_what_paid_reads_as_people_write_it(page: Client) -> None:
    shown = page.get(reverse("receipts:new")).content.decode()
    assert "Money I was given in advance" in shown
    assert "My own money, as a gift" in shown
