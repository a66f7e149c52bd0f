"""How far two pictures are apart: a difference hash of what is on the paper. Pure.

Each bit says whether a spot is darker than its neighbor. A copy that was scaled, saved anew, a little darker or with
a margin added, keeps most bits; the same paper photographed from another side does not, and another paper of the same
layout keeps many. So this alone names no paper twice: see :mod:`fund.receipts.rules_alike`, with the measured shares.
(Difference hash: common practice, no source.)
"""

import io

from PIL import Image, ImageChops, ImageOps

ACROSS, DOWN = 32, 32
ALIKE = 90  # of 1024 bits; most copies stay below it, and so does one in ten pairs of different papers of one layout


def likeness(data: bytes) -> str:
    """256 hex digits for a JPEG or PNG; empty for a picture of one color."""
    with Image.open(io.BytesIO(data)) as opened:
        gray = ImageOps.autocontrast(opened.convert("L"), cutoff=1)
    printed = _printed(gray)
    if printed is None:
        return ""
    small = printed.resize((ACROSS + 1, DOWN), Image.Resampling.BOX)
    spots = list(small.tobytes())
    bits = 0
    for row in range(DOWN):
        line = spots[row * (ACROSS + 1) : (row + 1) * (ACROSS + 1)]
        for left, right in zip(line, line[1:], strict=False):
            bits = bits << 1 | (left > right)
    return f"{bits:0{ACROSS * DOWN // 4}x}"


def _printed(gray: Image.Image) -> Image.Image | None:
    """The part that has print on it, so that the margin of a photo does not count."""
    ground = Image.new("L", gray.size, 255)
    dark = ImageChops.difference(gray, ground).point(lambda value: 255 if value > 96 else 0)
    box = dark.getbbox()
    return gray.crop(box) if box and box[2] - box[0] > 1 and box[3] - box[1] > 1 else None


def apart(one: str, other: str) -> int:
    """In how many of 1024 bits two pictures differ (Hamming distance)."""
    return (int(one, 16) ^ int(other, 16)).bit_count()
