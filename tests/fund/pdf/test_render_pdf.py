"""PDF from templates: tagged, with its own fonts, and text that stays text."""

import io
from datetime import UTC, datetime
from typing import Any

import pypdf
import pytest
import typst

from fund.pdf import render_pdf

PAGE: dict[str, Any] = {
    "title": "Hand-back sheet RO-0001", "foot": "A fund", "fund": "A fund", "owe": "You owe $0.00",
    "head": [["Vehicle", "2011 compact car"]], "complaint": "Grinds", "cause": "Pads", "correction": "Replaced",
    "parts": [["pads", "new", "182.29"]], "cost": "182.29", "deposits": [], "hours": "The crew gave 2.4 hours.",
    "test": [["Driven", "20 minutes"]], "checked": "All well.", "refused": [], "due": [], "not_done": [],
    "care": ["Brake gently"], "maker_first": "Maker first.",
    "by": "Tavi Brandt", "signing": "Received.", "signed": "",
}  # fmt: skip
AT = datetime(2026, 3, 15, 12, tzinfo=UTC)


def reader(**changes: Any) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(render_pdf("handback", PAGE | changes, at=AT)))


def text(**changes: Any) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader(**changes).pages).split())


def test_it_is_pdf_ua_1_with_title_and_language() -> None:
    """ISO 14289-1 (PDF/UA-1): tagged, a title that is shown, a language, and the mark of the standard."""
    found = reader()
    root: Any = found.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    metadata = root["/Metadata"].get_object().get_data()
    assert b"<pdfuaid:part>1</pdfuaid:part>" in metadata
    assert found.metadata is not None
    assert found.metadata.title == PAGE["title"]


def test_the_same_figures_at_the_same_time_give_the_same_bytes() -> None:
    assert render_pdf("handback", PAGE, at=AT) == render_pdf("handback", PAGE, at=AT)


@pytest.mark.parametrize(
    "typed",
    [
        "*bold* _soft_ #emph[x]",
        '#panic("x")',
        "$x^2$ = @ref <label>",
        "\\ ` ~ // /* = - +",
        "https://example.org",
    ],
)
def test_what_people_typed_is_text_and_never_markup(typed: str) -> None:
    assert typed in text(complaint=typed)


@pytest.mark.parametrize("typed", ["Łukasz Żółć", "Привет", "Ελλάδα", "½ → ✓ °F", "😀"])
def test_signs_beyond_english_are_shown(typed: str) -> None:
    assert typed in text(complaint=typed)


def test_a_sign_that_no_font_has_is_spelled_out() -> None:
    assert "[U+6F22][U+5B57] noise" in text(complaint="漢字 noise")


def test_control_characters_are_left_out() -> None:
    assert "a b" in text(complaint="a\x07\x00 b\ud800")


def test_a_fault_of_the_template_itself_is_not_hidden() -> None:
    with pytest.raises(typst.TypstError, match="complaint"):
        render_pdf("handback", {key: value for key, value in PAGE.items() if key != "complaint"}, at=AT)
