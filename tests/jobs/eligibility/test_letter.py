import io
from datetime import date

import pypdf
import pytest
from django.db import DatabaseError, transaction

from fund.access.models import Person
from fund.refusal import TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from jobs.eligibility.actions import decide
from jobs.eligibility.letters import letter_pdf, letter_text, send_letter
from jobs.eligibility.rules_decision import REASONS, VERDICTS
from jobs.eligibility.rules_exceptions import CONDITIONS
from jobs.eligibility.rules_letter import CONDITIONS_ES, REASONS_ES, TEXTS, Told, day_words, letter
from jobs.households.actions import change_contact
from jobs.intake.actions import answer_relation
from tests.jobs.intake.people import eligible, ready_to_decide

pytestmark = pytest.mark.django_db


def test_both_languages_say_the_same_things() -> None:
    assert set(TEXTS["en"]) == set(TEXTS["es"])
    assert set(REASONS_ES) == set(REASONS)
    assert set(CONDITIONS_ES) == set(CONDITIONS)
    assert set(VERDICTS) <= set(TEXTS["en"])
    for key, words in TEXTS["en"].items():
        assert _holes(words) == _holes(TEXTS["es"][key])


def _holes(text: str) -> set[str]:
    return {part.split("}")[0] for part in text.split("{")[1:]}


def test_a_yes_tells_the_figures_and_until_when(screener: Person) -> None:
    text = letter_text(eligible(screener)).text
    assert text.startswith("Our decision on your request A-0001\n\nDear Wilhelmina Quarrender,")
    assert "We counted 14,248.00 of income a year for 3 people. The line for 3 is 54,640.00 a year." in text
    assert "The yes counts until June 13, 2026." in text


@pytest.mark.parametrize(
    ("language", "size", "told"),
    [("en", 1, "for 1 person."), ("es", 1, "para 1 persona."), ("es", 2, "para 2 personas.")],
)
def test_one_person_is_counted_as_one(language: str, size: int, told: str) -> None:
    given = Told(
        code="A-0001",
        name="Ottoline Reed",
        verdict="eligible",
        on=date(2026, 3, 15),
        reasons=(),
        words="",
        size=size,
        income="14,248.00",
        limit="31,300.00",
        on_program=False,
        conditions=(),
        until=None,
        fund="Mendbook",
        town="Larkwater",
    )
    assert told in letter(given, language).text


def test_a_no_tells_reasons_words_and_how_to_ask_again(screener: Person) -> None:
    decision = decide(
        by=screener,
        application=ready_to_decide(screener),
        verdict="not eligible",
        reasons=["not our kind of work"],
        words="We do not rebuild transmissions.",
    )
    text = letter_text(decision, "en").text
    assert "- this repair is not one we do" in text
    assert "In our own words: We do not rebuild transmissions." in text
    assert "Someone who did not decide before looks at it then." in text
    assert "until" not in text


def test_it_speaks_the_households_language(screener: Person) -> None:
    decision = eligible(screener)
    change_contact(by=screener, household=decision.application.household, language="es")
    decision.application.household.refresh_from_db()
    made = letter_text(decision)
    assert made.language == "es"
    assert "Podemos ayudar a su hogar: nuestra decisión del 15 de marzo de 2026 es sí." in made.text
    assert letter_text(decision, "other").language == "en"


def test_the_pdf_is_tagged_in_its_language_and_says_the_same(screener: Person) -> None:
    reader = pypdf.PdfReader(io.BytesIO(letter_pdf(letter_text(eligible(screener), "es"))))
    assert str(reader.root_object["/Lang"]) == "es"
    text = " ".join(reader.pages[0].extract_text().split())
    assert "Su solicitud" not in text
    assert "El sí vale hasta el 13 de junio de 2026" in text
    assert reader.metadata is not None
    assert reader.metadata.author is None


def test_a_letter_that_went_out_stays_word_for_word(screener: Person, owner: Person) -> None:
    decision = eligible(screener)
    sent = send_letter(by=screener, decision=decision)
    set_rule(
        by=owner, name="fund_name", value="Another Fund", valid_from=date(2026, 1, 1), reason="A new name"
    )
    sent.refresh_from_db()
    assert "Another Fund" not in sent.text
    assert "Another Fund" in letter_text(decision).text
    with pytest.raises(DatabaseError, match="what is written stays"), transaction.atomic():
        sent.delete()


def test_who_has_a_tie_sends_none(screener: Person, treasurer: Person) -> None:
    decision = eligible(screener)
    answer_relation(by=treasurer, application=decision.application, tie=True, words="A friend")
    with pytest.raises(TwoPeopleNeeded):
        send_letter(by=treasurer, decision=decision)


def test_days_in_words() -> None:
    assert day_words(date(2026, 3, 5), "en") == "March 5, 2026"
    assert day_words(date(2026, 3, 5), "es") == "5 de marzo de 2026"
