"""A signature drawn with a finger, a pen or a mouse: what counts as one, and how it is drawn again. No database here.

A drawing is a list of strokes; a stroke is a flat list of whole numbers, ``[x, y, x, y, ...]``, in units of a box
``WIDE`` by ``HIGH`` with 0, 0 at the upper left. Who cannot draw, or has no script, types the name and ticks.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

WIDE, HIGH = 600, 240
MOST_STROKES = 80
MOST_POINTS = 3000
MOST_TEXT = 40_000  # characters; 3,000 points of at most nine characters and their brackets stay below
LEAST_INK = 60  # units drawn; a tap, or a tick of a tenth of the box, is no signature
NAME_LONGEST = 80

Strokes = Sequence[Sequence[int]]

EMPTY = "The box to sign in is nearly empty. Sign in it, or type the name and tick instead."
TOO_LARGE = "The drawing is too large. Clear the box and sign once, or type the name and tick instead."
BROKEN = "The drawing did not arrive whole. Clear the box and sign again, or type the name and tick instead."


def read_strokes(text: str) -> list[list[int]] | None:
    """What the page sent, or None where nothing was drawn. Raises ``ValueError`` with a sentence where it is no drawing."""
    if not text.strip():
        return None
    if len(text) > MOST_TEXT:
        raise ValueError(TOO_LARGE)
    try:
        sent = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ValueError(BROKEN) from error
    if sent == []:
        return None
    if wrong := drawing_wrong(sent):
        raise ValueError(wrong)
    return [list(stroke) for stroke in sent]


def drawing_wrong(sent: Any) -> str:
    """Why this is no drawing of a signature, in a sentence; empty where it is one."""
    if not isinstance(sent, list) or not all(isinstance(stroke, list) for stroke in sent):
        return BROKEN
    if len(sent) > MOST_STROKES or sum(len(stroke) for stroke in sent) > 2 * MOST_POINTS:
        return TOO_LARGE
    if not all(_is_stroke(stroke) for stroke in sent):
        return BROKEN
    return EMPTY if ink(sent) < LEAST_INK else ""


def _is_stroke(stroke: list[Any]) -> bool:
    """Pairs of whole numbers inside the box. ``True`` and 1.0 equal 1 but are none."""
    whole = bool(stroke) and len(stroke) % 2 == 0 and all(type(number) is int for number in stroke)
    return whole and all(
        0 <= x <= WIDE and 0 <= y <= HIGH for x, y in zip(stroke[::2], stroke[1::2], strict=True)
    )


def ink(strokes: Strokes) -> int:
    """How much was drawn, in units: of each step the longer of its two sides."""
    drawn = 0
    for stroke in strokes:
        for at in range(2, len(stroke), 2):
            drawn += max(abs(stroke[at] - stroke[at - 2]), abs(stroke[at + 1] - stroke[at - 1]))
    return drawn


def svg_path(strokes: Strokes) -> str:
    """The drawing as path data of SVG: an ``M`` begins each stroke and ``L`` goes on; a dot goes to where it is.

    A line of no length with round ends is a dot (SVG 2, stroke-linecap). Holds nothing but ``M``, ``L`` and numbers.
    """
    parts = []
    for stroke in strokes:
        points = [f"{x} {y}" for x, y in zip(stroke[::2], stroke[1::2], strict=True)]
        parts.append("M" + "L".join(points if len(points) > 1 else points * 2))
    return "".join(parts)


def signature_lacks(drawn: Strokes | None, name: str, ticked: bool) -> str:
    """What a signature still needs: drawn, or the name typed and ticked. Either is enough; empty when there is one."""
    if drawn or (name.strip() and ticked):
        return ""
    if name.strip():
        return "The owner ticks what they sign for, or draws their signature in the box."
    if ticked:
        return "The owner signs with their name too, or draws their signature in the box."
    return "The owner signs with their name and the tick, or draws their signature in the box."


@dataclass(frozen=True)
class Signature:
    """How an owner signed on the screen: ``drawn`` in the box, or with ``name`` typed and ``ticked``; or not at all."""

    drawn: Strokes | None = None
    name: str = ""
    ticked: bool = False

    @property
    def how(self) -> str:
        """``drawn``, ``typed``, or nothing where neither is whole."""
        if self.drawn:
            return "drawn"
        return "typed" if self.name.strip() and self.ticked else ""

    @property
    def wrong(self) -> str:
        """Why it cannot be kept, in a sentence: a broken drawing, or half of the typed way. Empty where nothing is there."""
        if self.drawn:
            return drawing_wrong(self.drawn)
        begun = bool(self.name.strip()) or self.ticked
        return signature_lacks(None, self.name, self.ticked) if begun else ""
