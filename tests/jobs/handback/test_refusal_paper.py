"""The page that an owner reads and signs who does not want what makes the vehicle safe."""

import io
import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.attachments.queries import file_of
from fund.refusal import BadInput, NotReady
from fund.trail.models import TrailLine
from jobs.handback.actions_refusal import paper_pdf, refuse_unsafe, signed_pdf, words_to_sign
from jobs.handback.models import RoadTest
from jobs.handback.models_proof import UnsafeRefusal
from jobs.handback.rules_refusal import LANGUAGES, PARTS, SIGN_HERE, TEXTS, WHY, Told, refusal_text
from jobs.households.actions_keep import forget_households
from jobs.households.models import Household
from jobs.intake.actions import mark_helped
from jobs.repairs.actions_steps import cancel
from jobs.repairs.models import RepairOrder
from jobs.signing.rules import Signature
from jobs.vehicles.rules_checkin import UNSAFE
from tests.jobs.workshop import four_photos

Drive = Callable[..., RoadTest]
SignIn = Callable[[Person], Client]
DRAWN = [[20, 120, 60, 40, 100, 200, 140, 40]]
LINES = "Left rear brake line rusted through, wet at the clip"
TYPED = {"text": LINES, "part": "brakes", "language": "en", "on": "2026-03-15", "finding": ""}


def told(**more: Any) -> Told:
    usual: dict[str, Any] = {
        "fund": "Larkwater Free Repair Fund", "town": "Larkwater", "number": "RO-0001", "vehicle": "2011 compact car",
        "part": "brakes", "found": LINES, "on": date(2026, 3, 15),
    }  # fmt: skip
    return Told(**(usual | more))


def read(pdf: bytes) -> tuple[int, str]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return len(reader.pages), " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def spanish(repair: RepairOrder) -> RepairOrder:
    Household.objects.filter(pk=repair.household_id).update(language="es")
    repair.household.refresh_from_db()
    return repair


def test_both_languages_say_everything_about_every_part() -> None:
    assert set(TEXTS) == set(WHY) == set(LANGUAGES) == set(SIGN_HERE)
    english, other = TEXTS["en"], TEXTS["es"]
    assert english.keys() == other.keys()
    for name, words in english.items():
        assert type(words) is type(other[name])
        if isinstance(words, tuple):
            assert len(words) == len(other[name])
    for language in LANGUAGES:
        assert WHY[language].keys() == PARTS.keys()
    assert set(UNSAFE) <= set(PARTS)  # what a check-in may call unsafe can be refused
    shared = [part for part in PARTS if WHY["en"][part] == WHY["es"][part]]
    assert not shared


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("part", PARTS)
def test_it_is_one_page_however_much_was_found(language: str, part: str) -> None:
    text = refusal_text(told(part=part, found="Wide words with measures 12 mm. " * 9 + "The end."), language)
    pages, words = read(paper_pdf(text))
    assert pages == 1
    assert "The end." in words
    assert text.places[0] in words


def test_the_english_page_says_what_why_and_what_is_asked(repair: RepairOrder) -> None:
    pdf = paper_pdf(words_to_sign(repair=repair, text=LINES, part="brakes"))
    _, words = read(pdf)
    for sentence in (
        "I do not want this safety repair", LINES, "may not stop at all", "Do not drive this vehicle", "Mar",
        "You may change your mind", "I could ask about it", "Owner of the vehicle", "2011 compact car", repair.number,
    ):  # fmt: skip
        assert sentence in words, sentence
    assert "Person of the tests" not in words


def test_a_household_that_reads_spanish_gets_it_in_spanish(repair: RepairOrder) -> None:
    text = words_to_sign(repair=spanish(repair), text="Línea de freno rota", part="brakes")
    pdf = paper_pdf(text)
    _, words = read(pdf)
    for sentence in (
        "No quiero esta reparación de seguridad", "Línea de freno rota", "No maneje este vehículo",
        "15 de marzo de 2026", "Dueño o dueña del vehículo",
    ):  # fmt: skip
        assert sentence in words, sentence
    assert "The crew" not in words
    assert str(pypdf.PdfReader(io.BytesIO(pdf)).root_object["/Lang"]) == "es"


def test_another_language_falls_back_to_english(repair: RepairOrder) -> None:
    assert words_to_sign(repair=repair, text=LINES, part="fuel", language="other").language == "en"


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"text": " "}, "Write what is unsafe"),
        ({"text": "x" * 301}, "fit into 300 characters"),
        ({"part": ""}, "Say which part"),
        ({"part": "paint"}, "Say which part"),
    ],
)
def test_words_that_lack_something_are_refused(
    repair: RepairOrder, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        words_to_sign(repair=repair, **{"text": LINES, "part": "brakes", **facts})


def test_signed_on_the_screen_it_counts_as_signed_and_keeps_the_words(
    repair: RepairOrder, drive: Drive, volunteer: Person
) -> None:
    row = refuse_unsafe(
        by=volunteer, repair=spanish(repair), text=LINES, part="brakes", signature=Signature(drawn=DRAWN)
    )
    row.refresh_from_db()
    assert (row.paper, row.drawn) == (None, DRAWN)
    assert row.told is not None
    assert (row.told["language"], row.told["title"]) == ("es", "No quiero esta reparación de seguridad")
    with pytest.raises(NotReady, match="The owner refused what makes it safe: Left rear brake line"):
        drive(repair)
    pages, words = read(signed_pdf(row))
    assert pages == 1
    assert "Firmado en la pantalla" in words
    assert "Dueño o dueña del vehículo" not in words
    with connection.cursor() as cursor:
        cursor.execute("SELECT drawn FROM jobs_unsaferefusal")
        assert cursor.fetchone()[0].startswith("gAAAAA")


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({}, "Choose the photo or PDF of the signed paper, or have the owner sign on the screen"),
        ({"signature": Signature(name="Ada Quill")}, "ticks what they sign for"),
        ({"signature": Signature(drawn=[[9, 9]])}, "nearly empty"),
        ({"signature": Signature(drawn=DRAWN), "part": ""}, "Say which part"),
    ],
)
def test_a_refusal_that_nobody_signed_is_none(
    repair: RepairOrder, volunteer: Person, facts: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        refuse_unsafe(**{"by": volunteer, "repair": repair, "text": LINES, "part": "brakes", **facts})
    assert not UnsafeRefusal.objects.exists()


def test_the_database_takes_no_refusal_without_paper_or_words(repair: RepairOrder, volunteer: Person) -> None:
    row = {"repair": repair, "text": LINES, "on": repair.opened_on, "taken_by": volunteer, "at": clock.now()}
    with pytest.raises(DatabaseError), transaction.atomic():
        UnsafeRefusal.objects.create(**row)


def test_the_page_gives_the_paper_and_keeps_nothing(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    page = client.get(f"/crew/repairs/{repair.number}/unsafe/new/").content.decode()
    assert f'formaction="/crew/repairs/{repair.number}/unsafe/paper/"' in page
    before = TrailLine.objects.count()
    answer = client.post(f"/crew/repairs/{repair.number}/unsafe/paper/", TYPED)
    assert answer["Content-Type"] == "application/pdf"
    assert LINES in read(answer.content)[1]
    assert not UnsafeRefusal.objects.exists()
    assert TrailLine.objects.count() == before


@pytest.mark.parametrize("page", ["paper", "sign"])
def test_what_lacks_is_told_and_what_is_typed_stays(
    repair: RepairOrder, volunteer: Person, client_for: SignIn, page: str
) -> None:
    client = client_for(volunteer)
    url = f"/crew/repairs/{repair.number}/unsafe/{page}/"
    answer = client.post(url, {**TYPED, "part": ""})
    assert answer.status_code == 422
    assert "Say which part of the vehicle it is about" in answer.content.decode()
    assert LINES in answer.content.decode()
    assert client.get(url)["Location"] == f"/crew/repairs/{repair.number}/unsafe/new/"


def test_the_owner_reads_the_words_on_the_screen_and_signs_below_them(
    repair: RepairOrder, volunteer: Person, screener: Person, client_for: SignIn
) -> None:
    client = client_for(volunteer)
    url = f"/crew/repairs/{repair.number}/unsafe/sign/"
    page = client.post(url, {**TYPED, "language": "es"}).content.decode()
    assert '<div lang="es">' in page
    for words in ("No maneje este vehículo", "Firme en el recuadro", LINES):
        assert words in page
    assert not UnsafeRefusal.objects.exists()
    unsigned = client.post(url, {**TYPED, "signing": "yes"})
    assert unsigned.status_code == 422
    assert "have the owner sign on the screen" in unsigned.content.decode()
    done = client.post(url, {**TYPED, "signing": "yes", "drawn": json.dumps(DRAWN)})
    assert done["Location"] == f"/crew/repairs/{repair.number}/unsafe/"
    listed = f"/crew/repairs/{repair.number}/unsafe/"
    assert "M20 120L60 40" not in client.get(listed).content.decode()
    seen = client_for(screener).get(listed).content.decode()
    assert "M20 120L60 40" in seen
    assert "What they read" in seen
    pdf = client.get(f"{listed}{UnsafeRefusal.objects.get().pk}/signed.pdf")
    assert pdf.content.startswith(b"%PDF-")


def test_a_photo_of_the_signed_paper_still_does(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    url = f"/crew/repairs/{repair.number}/unsafe/new/"
    client = client_for(volunteer)
    assert client.post(url, TYPED).status_code == 422
    paper = SimpleUploadedFile("signed.jpg", four_photos()[0].read())
    assert client.post(url, {**TYPED, "paper": paper})["Location"].endswith("/unsafe/")
    row = UnsafeRefusal.objects.get()
    assert row.paper is not None
    assert (row.told, row.drawn, row.signed_by) == (None, None, "")


def test_the_photo_of_a_signed_paper_is_seen_by_who_may_see_a_households_papers(
    repair: RepairOrder, volunteer: Person, owner: Person, accountant: Person, client_for: SignIn
) -> None:
    row = refuse_unsafe(by=volunteer, repair=repair, text=LINES, paper=four_photos()[0])
    assert row.paper is not None
    file = reverse("attachments:file", args=[row.paper.code])
    listed = f"/crew/repairs/{repair.number}/unsafe/"
    assert client_for(owner).get(file).status_code == 200
    assert row.paper.code in client_for(owner).get(listed).content.decode()
    for person in (volunteer, accountant):
        client = client_for(person)
        assert client.get(file).status_code == 403
        page = client.get(listed).content.decode()
        assert row.paper.code not in page
        assert "on paper, kept with the household" in page


def test_the_signature_goes_with_the_file_of_the_household(repair: RepairOrder, volunteer: Person) -> None:
    refuse_unsafe(
        by=volunteer, repair=repair, text=LINES, part="brakes",
        signature=Signature(drawn=DRAWN, name="Ada Quill", ticked=True),
    )  # fmt: skip
    cancel(by=volunteer, repair=repair, reason="refused the brake line")
    mark_helped(by=volunteer, application=repair.application)
    with clock.at(date(2046, 1, 1)):
        forget_households(by=None)
    row = UnsafeRefusal.objects.get()
    assert (row.drawn, row.signed_by, row.text) == (None, "", LINES)


def test_the_photo_of_a_signed_paper_goes_too(
    repair: RepairOrder, volunteer: Person, client_for: SignIn
) -> None:
    row = refuse_unsafe(by=volunteer, repair=repair, text=LINES, paper=four_photos()[0])
    assert row.paper is not None
    # the picture of the paper is one of the photos of the vehicle too: both rows have to go before the file does
    assert file_of(row.paper).is_file()
    cancel(by=volunteer, repair=repair, reason="refused the brake line")
    mark_helped(by=volunteer, application=repair.application)
    with clock.at(date(2046, 1, 1)):
        lines = forget_households(by=None)
    assert any(line.counts.get("signed refusals") == 1 for line in lines)
    assert not file_of(row.paper).exists()
    page = client_for(volunteer).get(f"/crew/repairs/{repair.number}/unsafe/").content.decode()
    assert "destroyed on its day" in page
    assert LINES in page
