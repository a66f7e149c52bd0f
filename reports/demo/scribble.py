"""A signature for the invented fund: loops that run on to the right, a little different for every name."""

from hashlib import sha256
from math import cos, pi, sin

from jobs.signing.rules import HIGH, WIDE

STEPS = 12  # points of one loop


def scribble(name: str) -> list[list[int]]:
    """Strokes as ``jobs.signing.rules`` takes them; the same name gives the same ones."""
    turns = sha256(name.encode()).digest()
    loops = 4 + turns[0] % 3
    wide = (WIDE - 160) / loops
    line: list[int] = []
    for loop in range(loops):
        high = HIGH * (0.12 + turns[loop + 1] / 255 * 0.2)
        for step in range(STEPS):
            angle = 2 * pi * step / STEPS
            along = 60 + wide * (loop + step / STEPS)
            line += [round(along - sin(angle) * wide * 0.35), round(HIGH * 0.5 - cos(angle) * high)]
    return [line, [70, round(HIGH * 0.85), WIDE - 80, round(HIGH * 0.78)]]
