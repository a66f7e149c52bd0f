"""What counts as a signature that was drawn, and how it is drawn again."""

import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from jobs.signing.rules import (
    BROKEN,
    EMPTY,
    HIGH,
    MOST_POINTS,
    MOST_STROKES,
    MOST_TEXT,
    TOO_LARGE,
    WIDE,
    drawing_wrong,
    ink,
    read_strokes,
    signature_lacks,
    svg_path,
)

WAVE = [[20, 120, 60, 40, 100, 200, 140, 40], [200, 120, 260, 120]]


def test_a_drawn_name_is_read_as_it_was_sent() -> None:
    assert read_strokes(json.dumps(WAVE)) == WAVE


@pytest.mark.parametrize("text", ["", "  ", "[]"])
def test_nothing_drawn_is_no_signature_and_no_mistake(text: str) -> None:
    assert read_strokes(text) is None


@pytest.mark.parametrize(
    "sent",
    [
        "no drawing", "{}", "7", '"M0 0"', "null", "[1, 2]", '[["a", "b"]]', "[[1.5, 2, 300, 4]]", "[[true, 2, 300, 4]]",
        "[[1, 2, 300]]", "[[]]", "[[-1, 2, 300, 4]]", "[[1, 2, 601, 4]]", "[[1, 2, 300, 241]]", "[[NaN, 2, 300, 4]]",
        "[[1, 2], null]", "[" * 30_000, "[[" + "9" * 6000 + ", 2]]", '[[1, 2, 300, 4]', '[[[1, 2], [300, 4]]]',
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_refused_with_a_plain_sentence(sent: str) -> None:
    with pytest.raises(ValueError, match=BROKEN):
        read_strokes(sent)


@pytest.mark.parametrize(
    "sent", [[[300, 120]], [[300, 120, 304, 122]], [[1, 1], [5, 5]], [[0, 0, 30, 29, 1, 1]]]
)
def test_a_tap_or_a_dot_is_nearly_empty(sent: list[list[int]]) -> None:
    assert ink(sent) < 60
    assert drawing_wrong(sent) == EMPTY


def test_an_endless_drawing_is_too_large() -> None:
    long = [[at % WIDE, at % HIGH] * 1 for at in range(MOST_STROKES + 1)]
    assert drawing_wrong(long) == TOO_LARGE
    assert drawing_wrong([[1, 2] * (MOST_POINTS + 1)]) == TOO_LARGE
    with pytest.raises(ValueError, match="too large"):
        read_strokes(" " * MOST_TEXT + json.dumps(WAVE))


def test_the_largest_drawing_that_the_box_takes_is_taken() -> None:
    per_stroke = MOST_POINTS // MOST_STROKES
    most = [[WIDE, HIGH, WIDE - 1, HIGH - 1] * (per_stroke // 2) for _ in range(MOST_STROKES)]
    written = json.dumps(most, separators=(",", ":"))
    assert len(written) <= MOST_TEXT
    assert read_strokes(written) == most


# Published: W3C, SVG 2, section 9.3.1, writes "M 100 100 L 200 200" more compactly as "M100 100L200 200".
@pytest.mark.parametrize(
    ("strokes", "path"),
    [
        ([[100, 100, 200, 200]], "M100 100L200 200"),
        ([[10, 20, 30, 40]], "M10 20L30 40"),
        ([[10, 20, 30, 40, 50, 60], [1, 2, 3, 4]], "M10 20L30 40L50 60M1 2L3 4"),
        ([[10, 20]], "M10 20L10 20"),
    ],
)
def test_it_is_drawn_again_by_the_grammar_of_svg(strokes: list[list[int]], path: str) -> None:
    assert svg_path(strokes) == path


whole = some.integers(min_value=-5, max_value=WIDE + 5)
anything = some.recursive(
    some.none() | some.booleans() | some.floats() | some.text(max_size=5) | whole,
    lambda inner: some.lists(inner, max_size=6) | some.dictionaries(some.text(max_size=2), inner, max_size=2),
)


@given(anything | some.lists(some.lists(whole, max_size=8), max_size=5))
def test_whatever_is_sent_is_refused_or_a_drawing_inside_the_box(sent: Any) -> None:
    wrong = drawing_wrong(sent)
    if wrong or not sent:
        assert wrong in (BROKEN, EMPTY, TOO_LARGE)
        return
    strokes = read_strokes(json.dumps(sent))
    assert strokes is not None
    assert strokes == sent
    assert re.fullmatch(r"(M\d+ \d+(L\d+ \d+)+)+", svg_path(strokes))
    drawn = [int(number) for number in re.findall(r"\d+", svg_path(strokes))]
    assert all(0 <= x <= WIDE for x in drawn[::2])
    assert all(0 <= y <= HIGH for y in drawn[1::2])


@pytest.mark.parametrize(
    ("drawn", "name", "ticked", "words"),
    [
        (WAVE, "", False, ""),
        (None, "Ada Quill", True, ""),
        (WAVE, "Ada Quill", True, ""),
        (None, "Ada Quill", False, "ticks"),
        (None, " ", True, "name too"),
        (None, "", False, "name and the tick"),
        ([], "", False, "name and the tick"),
    ],
)
def test_a_drawing_or_the_name_with_its_tick_is_enough(
    drawn: list[list[int]] | None, name: str, ticked: bool, words: str
) -> None:
    lacks = signature_lacks(drawn, name, ticked)
    assert bool(lacks) == bool(words)
    assert words in lacks
