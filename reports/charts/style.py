"""One style for all charts: colors of each scheme, sizes, and how many dots a line has. Data only."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Scheme:
    """Colors of a chart. Marks stand out from the ground by at least 3:1, text by 4.5:1 (WCAG 2.2, 1.4.11 and 1.4.3)."""

    ground: str
    ink: str
    soft: str
    rule: str
    first: str
    second: str
    third: str


LIGHT = Scheme(
    ground="#fdf9ef",
    ink="#27211a",
    soft="#5d5244",
    rule="#dccfb5",
    first="#2c5f5b",
    second="#8a2f26",
    third="#a9812f",
)
DARK = Scheme(
    ground="#201c18",
    ink="#efe6d6",
    soft="#bbae99",
    rule="#40382e",
    first="#86c3ba",
    second="#eba593",
    third="#d9b566",
)
SCHEMES = {"": LIGHT, "-dark": DARK}

# Width in inches at 72 points, a little more than a phone is wide: text of 9.5 points stays readable there.
WIDTH, HEIGHT = 5.6, 3.5
TEXT, SMALL = 10.5, 9.5
BAR = 0.38
# Besides its color, every mark has a pattern of its own.
HATCH = {"first": "", "second": "////", "third": "\\\\\\\\"}
SETTINGS: dict[Any, Any] = {
    "font.family": ["DejaVu Sans"],  # ships with matplotlib: the same drawing on every machine
    "svg.fonttype": "path",
    "svg.hashsalt": "mendbook",  # ids inside the file, else random
    "text.parse_math": False,  # a dollar sign is a dollar sign
    "hatch.linewidth": 0.8,
}
