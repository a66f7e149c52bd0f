"""Letters on the pages, in the hands of the people they belong to."""

import io
from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from fund.access.models import Person
from fund.gifts.actions import add_supporter
from fund.gifts.actions_returns import record_refund
from fund.gifts.models import Supporter
from fund.letters.actions import void_letter, write_gift_letter, write_year_letter
from fund.letters.models import Letter, TokenLimit
from tests.fund.letters.conftest import Give

ClientFor = Callable[[Person], Client]
MAY = date(2025, 5, 2)


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages)


def test_the_letter_of_a_gift_is_looked_over_and_written(
    treasurer: Person, give: Give, exempt: None, client_for: ClientFor
) -> None:
    gift, page = give("300.00", MAY), client_for(treasurer)
    write = reverse("letters:write", args=[gift.code])
    shown = page.get(write).content.decode()
    assert "We gave you no goods or services in return." in shown
    assert Letter.objects.count() == 0
    written = page.post(write, {}, follow=True).content.decode()
    assert "Letter 1 is written." in written
    again = page.get(write).content.decode()
    assert "It stands in letter 1." in again
    assert page.post(write, {}).status_code == 422
    page.post(write, {"again": "on"})
    assert Letter.objects.get(number=2).lines.get().also_in_id == 1


def test_a_gift_that_went_back_shows_why_it_gets_none(
    treasurer: Person, give: Give, client_for: ClientFor
) -> None:
    gift = give("50.00", MAY)
    record_refund(by=treasurer, gift=gift, on=date(2026, 3, 2), reason="twice")
    shown = client_for(treasurer).get(reverse("letters:write", args=[gift.code])).content.decode()
    assert "gets no letter" in shown
    assert "Write the letter" not in shown


def test_a_letter_as_pdf_and_as_text_says_the_same_and_is_accessible(
    treasurer: Person, give: Give, exempt: None, client_for: ClientFor
) -> None:
    letter = write_gift_letter(by=treasurer, gift=give("300.00", MAY))
    page = client_for(treasurer)
    pdf = page.get(reverse("letters:pdf", args=[letter.number]))
    assert pdf["Content-Disposition"] == 'attachment; filename="letter-1.pdf"'
    reader = PdfReader(io.BytesIO(pdf.content))
    assert "/MarkInfo" in reader.root_object
    said = text_of(pdf.content)
    mail = page.get(reverse("letters:text", args=[letter.number])).content.decode()
    for sentence in ("Dear Anwen Pell,", "We gave you no goods or services in return.", "4 Quarry Street"):
        assert sentence in said
    assert mail.startswith("Dear Anwen Pell,\n\nThank you for your gift of $300.00 to the Larkwater")
    assert "2025-05-02, G-00001, bank transfer: $300.00" in mail
    assert page.get(reverse("letters:pdf", args=[letter.number])).content == pdf.content


def test_a_letter_is_withdrawn_and_written_anew(treasurer: Person, give: Give, client_for: ClientFor) -> None:
    letter, page = write_gift_letter(by=treasurer, gift=give("300.00", MAY)), client_for(treasurer)
    void = reverse("letters:void", args=[letter.number])
    assert page.post(void, {"reason": ""}).status_code == 422
    assert "Letter 1 is void." in page.post(void, {"reason": "wrong name"}, follow=True).content.decode()
    anew = page.post(reverse("letters:anew", args=[1]), follow=True).content.decode()
    assert "In place of" in anew
    assert "Void. wrong name (2026-03-15)" in text_of(page.get(reverse("letters:pdf", args=[1])).content)
    assert "Write it anew" not in page.get(reverse("letters:letter", args=[1])).content.decode()


def test_the_letters_of_a_year_are_written_press_by_press_without_a_script(
    treasurer: Person, give: Give, client_for: ClientFor
) -> None:
    for name in ("Anwen Pell the second", "Osric Danvers"):
        give("20.00", MAY, supporter=add_supporter(by=treasurer, name=name))
    page, year = client_for(treasurer), reverse("letters:year", args=[2025])
    assert "Write 2 letters?" in page.get(year).content.decode()
    started = page.post(reverse("letters:year-start", args=[2025]), follow=True).content.decode()
    assert "0 of 2" in started
    batch = started.split('name="batch" value="')[1].split('"')[0]
    done = page.post(
        reverse("letters:year-step", args=[2025]), {"batch": batch}, follow=True
    ).content.decode()
    assert "2 letters for 2 of 2 supporters" in done
    whole = page.get(reverse("letters:year-pdf", args=[2025]))
    assert len(PdfReader(io.BytesIO(whole.content)).pages) == 2
    assert "Osric Danvers" in text_of(whole.content)


def test_more_letters_than_a_page_makes_at_once_come_in_parts(
    treasurer: Person, anwen: Supporter, give: Give, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fund.letters.queries.IN_ONE_PDF", 1)
    give("20.00", MAY)
    other = add_supporter(by=treasurer, name="Osric Danvers")
    give("30.00", MAY, supporter=other)
    for one in (anwen, other):
        write_year_letter(by=treasurer, supporter=one, year=2025)
    page, pdf = client_for(treasurer), reverse("letters:year-pdf", args=[2025])
    assert "PDF, part 2" in page.get(reverse("letters:year", args=[2025])).content.decode()
    second = page.get(pdf, {"part": "2"})
    assert "letters-2025-2.pdf" in second["Content-Disposition"]
    assert "Osric Danvers" in text_of(second.content)
    assert "Anwen" not in text_of(second.content)
    assert page.get(pdf, {"part": "3"}).status_code == 404


def test_the_script_gets_a_piece_of_the_page_that_asks_again_until_all_is_done(
    treasurer: Person, give: Give, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fund.letters.views_year.BY_SCRIPT", 1)
    give("20.00", MAY)
    give("30.00", MAY, supporter=add_supporter(by=treasurer, name="Osric Danvers"))
    page = client_for(treasurer)
    started = page.post(reverse("letters:year-start", args=[2025]), follow=True).content.decode()
    assert 'hx-trigger="load"' in started
    batch = started.split('name="batch" value="')[1].split('"')[0]
    step = reverse("letters:year-step", args=[2025])
    asked = {"data": {"batch": batch}, "headers": {"HX-Request": "true"}}
    piece = page.post(step, **asked).content.decode()  # type: ignore[arg-type]
    assert "1 of 2" in piece
    assert "hx-post" in piece
    page.post(step, **asked)  # type: ignore[arg-type]
    piece = page.post(step, **asked).content.decode()  # type: ignore[arg-type]
    assert "2 letters written." in piece
    assert "<html" not in piece


def test_the_list_is_searched_and_tells_what_to_withdraw(
    treasurer: Person, anwen: Supporter, give: Give, client_for: ClientFor
) -> None:
    gift = give("50.00", MAY)
    write_year_letter(by=treasurer, supporter=anwen, year=2025)
    record_refund(by=treasurer, gift=gift, on=date(2026, 3, 2), reason="twice")
    page, url = client_for(treasurer), reverse("letters:letters")
    assert "To withdraw" in page.get(url).content.decode()
    void_letter(by=treasurer, letter=Letter.objects.get(), reason="refunded")
    assert "To withdraw" not in page.get(url).content.decode()
    assert "Anwen Pell" not in page.get(url, {"void": "stands"}).content.decode()
    assert "Anwen Pell" in page.get(url, {"words": "anwen", "year": "2025"}).content.decode()
    csv = b"".join(page.get(url, {"format": "csv"})).decode()
    assert "the year 2025" in csv
    assert "void" in csv


def test_figures_of_a_year_are_typed_and_verified(owner: Person, client_for: ClientFor) -> None:
    page, add = client_for(owner), reverse("letters:limit-add")
    typed = {
        "year": "2027",
        "low_cost": "14.20",
        "floor": "70.00",
        "cap": "142.00",
        "procedure": "x",
        "source": "y",
    }
    wrong = page.post(add, {**typed, "seen": "read"})
    assert wrong.status_code == 422
    assert "always stand as 1 to 5 to 10" in wrong.content.decode()
    assert 'value="70.00"' in wrong.content.decode()
    page.post(add, {**typed, "floor": "71.00", "seen": "read"})
    assert TokenLimit.objects.filter(year=2027).exists()
    assert "from memory" in page.get(reverse("letters:limits")).content.decode()


def test_a_year_that_is_not_over_is_not_found(treasurer: Person, client_for: ClientFor) -> None:
    page = client_for(treasurer)
    assert page.get(reverse("letters:year", args=[2026])).status_code == 404
    assert page.get(reverse("letters:year-pdf", args=[2025])).status_code == 404
    assert page.get(reverse("letters:letter", args=[99])).status_code == 404
