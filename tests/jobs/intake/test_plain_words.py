"""A child of twelve can read the pages for whoever asks for help, and every word of them is there in Spanish."""

import importlib.util
import io
import re
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po
from django.test import Client

from fund.access.models import Person
from jobs.eligibility.actions import decide, sight
from jobs.intake.actions import answer_relation
from jobs.intake.pages import PAGES
from jobs.intake.rules import QUESTIONS
from jobs.intake.words import NO_MEANS
from tests.house.tree import TOP
from tests.jobs.intake.public import TYPED, draft_of, draft_with, sent_by_form
from tests.jobs.intake.readability import Counted, count, sentences_of_page, syllables

CATALOG = TOP / "jobs" / "locale" / "es" / "LC_MESSAGES" / "django.po"
# In the US a child of twelve is in grade 6 or 7: one begins grade 1 at the age of six.
GRADE_OF_TWELVE = 6.0


def test_the_formula_gives_the_published_grade() -> None:
    # Wikipedia, "Flesch–Kincaid readability tests": this sentence has 13 words, 24 syllables and grade 11.3.
    # (Spoken with care it has 26, which gives 13.1: counting leaves two grades open. The pages stay further below.)
    platypus = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature"
    found = count([platypus])
    assert found == Counted(words=13, sentences=1, syllables=24)
    assert round(found.grade, 1) == 11.3


@pytest.mark.parametrize(
    ("word", "expected"),
    [("name", 1), ("vehicle", 3), ("people", 2), ("stopped", 1), ("needed", 2), ("the", 1), ("insured", 2)],
)
def test_syllables_are_counted_as_they_are_spoken(word: str, expected: int) -> None:
    assert syllables(word) == expected


@pytest.fixture
def pages(screener: Person) -> dict[str, str]:
    """Every page for whoever asks, as it is shown, by its address."""
    _, draft = draft_with(TYPED)
    noes = dict.fromkeys(TYPED["questions"], "no")
    _, no = draft_with({"questions": noes})
    sent, refused = sent_by_form(), sent_by_form("Somebody Else")
    application = draft_of(refused).application
    assert application is not None
    sight(
        by=screener, household=application.household, kind="pay stub", document_date=application.submitted_on
    )
    answer_relation(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict="not eligible", reasons=["for business"])
    paths = ["/ask-for-help/", "/ask-for-help/new/"]
    paths += [f"/ask-for-help/mine/{draft}/{place}" for place in ("", "throw-away/")]
    paths += [f"/ask-for-help/mine/{draft}/page/{key}/" for key in PAGES]
    paths += [f"/ask-for-help/mine/{no}/before/", f"/ask-for-help/mine/{refused}/second-look/"]
    paths += [f"/ask-for-help/mine/{sent}/{place}" for place in ("", "agreed/", "take-back/")]
    answers = {path: Client().get(path) for path in paths}
    assert {answer.status_code for answer in answers.values()} == {200}
    return {path: answer.content.decode() for path, answer in answers.items()}


@pytest.mark.django_db
def test_a_child_of_twelve_can_read_every_page(pages: dict[str, str]) -> None:
    grades = {path: round(count(whole_sentences(page)).grade, 1) for path, page in pages.items()}
    assert len(grades) == 16
    assert {path: grade for path, grade in grades.items() if grade > GRADE_OF_TWELVE} == {}


@pytest.mark.django_db
def test_no_single_sentence_is_beyond_a_reader_of_fifteen(pages: dict[str, str]) -> None:
    hard = {
        sentence
        for page in pages.values()
        for sentence in sentences_of_page(page)
        if len(sentence.split()) > 8 and count([sentence]).grade > 9
    }
    assert hard == set()


def whole_sentences(page: str) -> list[str]:
    """Without labels and words on buttons, whose shortness would flatter the grade."""
    return [sentence for sentence in sentences_of_page(page) if len(sentence.split()) >= 5]


def test_every_first_question_has_words_for_its_no() -> None:
    assert NO_MEANS.keys() == QUESTIONS.keys()


# Spanish


@pytest.fixture(scope="module")
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("translations", TOP / ".ci" / "translations.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def catalog(path: Path = CATALOG) -> dict[Any, Any]:
    read = read_po if path.suffix == ".po" else read_mo
    found = read(io.BytesIO(path.read_bytes()))
    return {message.id: message.string for message in found if message.id}


def test_every_text_of_the_pages_is_in_the_catalog_and_nothing_else(tool: ModuleType) -> None:
    assert catalog().keys() == tool.texts().keys(), "run make translations"


def test_every_text_is_translated() -> None:
    assert [text for text, spanish in catalog().items() if not spanish] == []


def test_the_compiled_catalog_is_the_one_that_is_written() -> None:
    assert catalog(CATALOG.with_suffix(".mo")) == catalog(), "run make translations"


def test_a_translation_keeps_every_figure_that_is_filled_in() -> None:
    slots = re.compile(r"%\(\w+\)[sd]")
    wrong = [
        text
        for text, spanish in catalog().items()
        if sorted(slots.findall(text)) != sorted(slots.findall(spanish))
    ]
    assert wrong == []


@pytest.mark.django_db
def test_no_english_is_left_on_the_spanish_pages() -> None:
    _, draft = draft_with(TYPED, language="es")
    sent = sent_by_form(language="es")
    english = [text for text, spanish in catalog().items() if text != spanish and len(text.split()) > 2]
    for path in [
        "/ask-for-help/es/",
        "/ask-for-help/es/new/",
        f"/ask-for-help/mine/{draft}/",
        *(f"/ask-for-help/mine/{draft}/page/{key}/" for key in PAGES),
        f"/ask-for-help/mine/{sent}/",
        f"/ask-for-help/mine/{sent}/agreed/",
        f"/ask-for-help/mine/{sent}/take-back/",
    ]:
        page = " ".join(sentences_of_page(Client().get(path).content.decode()))
        left = [text for text in english if text in page]
        assert left == [], path
