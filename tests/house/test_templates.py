"""What holds for every template: nothing inline, nothing fetched from elsewhere, the house's words."""

import re
from pathlib import Path

import pytest

from tests.house.tree import files, short

INLINE = re.compile(
    r"<style\b|\sstyle\s*=|<script(?![^>]*\bsrc=)|\son[a-z]+\s*=\s*[\"']|javascript:", re.IGNORECASE
)
FROM_ELSEWHERE = re.compile(
    r"<(?:script|link|img|iframe|source)\b[^>]*(?:src|href)\s*=\s*[\"'](?:https?:)?//", re.IGNORECASE
)
# Who gives is a supporter, who is helped a household; nobody buys here. (A tax office's own name and papers keep theirs.)
WRONG_WORDS = re.compile(
    r"\b(?:donors?(?! restrictions)|customers?|clients?|donations?|(?<!internal )revenues?(?! procedures?)"
    r"|tickets?|cheques?|tyres?)\b",
    re.IGNORECASE,
)
TAGS = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}|<[^>]*>", re.DOTALL)


def templates() -> list[Path]:
    return list(files(".html", ".txt", under=("templates",)))


@pytest.mark.parametrize("file", templates(), ids=short)
def test_a_template_holds_no_inline_style_or_script(file: Path) -> None:
    assert not INLINE.findall(file.read_text())


@pytest.mark.parametrize("file", templates(), ids=short)
def test_a_template_fetches_nothing_from_elsewhere(file: Path) -> None:
    assert not FROM_ELSEWHERE.findall(file.read_text())


@pytest.mark.parametrize("file", [*templates(), *files(".typ", under=("templates",))], ids=short)
def test_a_template_speaks_the_words_of_the_house(file: Path) -> None:
    text = file.read_text()
    shown = text if file.suffix == ".typ" else TAGS.sub(" ", text)
    assert not WRONG_WORDS.findall(shown)
