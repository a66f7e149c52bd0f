"""From boxes of text on a photo to rows of print. Pure: no engine, no database, no clock."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, pi, sin
from statistics import median


@dataclass(frozen=True, slots=True)
class Box:
    """A piece of text, its four corners in pixels (clockwise from the upper left) and how sure the engine is (0 to 1)."""

    text: str
    corners: tuple[tuple[float, float], ...]
    score: float

    @property
    def middle(self) -> tuple[float, float]:
        xs, ys = zip(*self.corners, strict=True)
        return sum(xs) / len(xs), sum(ys) / len(ys)

    @property
    def height(self) -> float:
        (ax, ay), (dx, dy) = self.corners[0], self.corners[3]
        return float(((ax - dx) ** 2 + (ay - dy) ** 2) ** 0.5)

    @property
    def width(self) -> float:
        (ax, ay), (bx, by) = self.corners[0], self.corners[1]
        return float(((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5)


@dataclass(frozen=True, slots=True)
class Row:
    """Print on one line, left to right, and the lowest score of its pieces."""

    text: str
    score: float


def slope_of(boxes: Sequence[Box]) -> float:
    """The angle of the print in radians, by the long boxes; 0 when there are none."""
    long = [box for box in boxes if box.width > 3 * box.height]
    angles = [
        atan2(box.corners[1][1] - box.corners[0][1], box.corners[1][0] - box.corners[0][0]) for box in long
    ]
    return median(angles) if angles else 0.0


def rows_of_print(boxes: Sequence[Box]) -> list[Row]:
    """Boxes put into rows, top to bottom, after the slope of the photo is taken out."""
    if not boxes:
        return []
    angle = slope_of(boxes)
    if abs(angle) > pi / 4:  # lying on its side: the engine's own order is the better guess
        angle = 0.0
    turn, tilt = cos(-angle), sin(-angle)
    placed = []
    for box in boxes:
        x, y = box.middle
        placed.append((x * turn - y * tilt, x * tilt + y * turn, box))
    placed.sort(key=lambda item: item[1])
    gap = median(box.height for box in boxes) * 0.55
    rows: list[list[tuple[float, float, Box]]] = []
    for item in placed:
        if rows and abs(item[1] - sum(y for _, y, _ in rows[-1]) / len(rows[-1])) < gap:
            rows[-1].append(item)
        else:
            rows.append([item])
    made = []
    for row in rows:
        parts = [box for _, _, box in sorted(row, key=lambda item: item[0])]
        made.append(Row("  ".join(part.text.strip() for part in parts), min(part.score for part in parts)))
    return made
