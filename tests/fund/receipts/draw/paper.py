"""Draws a receipt from its figures: layouts, fonts, tilt, blur, fading of thermal print and noise of a phone."""

import json
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from random import Random
from typing import Any

import matplotlib
from PIL import Image, ImageDraw, ImageFilter, ImageFont

WIDE, SIZE, STEP = 460, 21, 34
GROUND, INK = (250, 249, 246), (28, 28, 32)
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont


@cache
def papers() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(
        (Path(__file__).parent / "papers.json").read_text(encoding="utf-8")
    )
    return found


def _font(name: str) -> Font:
    if name == "pillow":
        return ImageFont.load_default(size=SIZE)
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / f"{name}.ttf"), SIZE)


def money(minor: int) -> str:
    return f"{minor // 100:,}.{minor % 100:02}"


def rows_of(paper: dict[str, Any]) -> list[tuple[str, str]]:
    """The rows of print, each with its left and right part. ``says`` puts a word of another kind of paper on it."""
    day = date.fromisoformat(paper["on"]).strftime(paper["day_shape"])
    layout, sign = paper["layout"], "$" if paper["layout"] == "labelled" else ""
    head = {
        "plain": [(f"Receipt {paper['number']}", day)],
        "labelled": [(f"Invoice No: {paper['number']}", ""), (f"Date: {day}", "14:22")],
        "quantities": [(f"TRANS# {paper['number']}", ""), (day, "09:41 AM")],
        "leaders": [(day, ""), (f"Ticket #{paper['number']}", "")],
    }[layout]
    place, word = paper.get("says", ("", ""))
    title = [(word, "")] if place == "title" else []
    rows = [(paper["store"], ""), ("12 Mill Road, Larkwater", ""), *title, *head, ("", "")]
    for text, amount in paper["lines"]:
        if layout == "quantities" and amount % 2 == 0:
            rows += [(text, ""), (f"   2 @ {money(amount // 2)}", money(amount))]
        elif layout == "leaders":
            rows.append((f"{text} {'.' * 8}", money(amount)))
        else:
            rows.append((text, sign + money(amount)))
    rows.append(("", ""))
    if paper["subtotal"]:
        rows.append(
            (
                "SUBTOTAL" if layout != "labelled" else "Sub-total",
                sign + money(sum(a for _, a in paper["lines"])),
            )
        )
    if paper["tax"]:
        rows.append(("TAX 8.25%" if layout != "plain" else "Sales tax", sign + money(paper["tax"])))
    all_of_it = "TOTAL" if layout != "leaders" else "AMOUNT DUE"
    rows.append((f"{word} {all_of_it}" if place == "total" else all_of_it, sign + money(paper["total"])))
    if layout in ("plain", "quantities"):
        rows.append(("CARD ****4471", money(paper["total"])))
    return [*rows, ("", ""), (word if place == "foot" else "Thank you", "")]


def draw(paper: dict[str, Any]) -> Image.Image:
    rows, font = rows_of(paper), _font(paper["font"])
    picture = Image.new("RGB", (WIDE, STEP * (len(rows) + 2)), GROUND)
    pen = ImageDraw.Draw(picture)
    for number, (left, right) in enumerate(rows):
        y = STEP * (number + 1)
        if number == 0:
            pen.text((WIDE / 2, y), left, font=font, fill=INK, anchor="ma")
            continue
        pen.text((24, y), left, font=font, fill=INK)
        pen.text((WIDE - 24, y), right, font=font, fill=INK, anchor="ra")
    return _harmed(picture, paper["harm"], Random(paper["seed"]))


def _harmed(picture: Image.Image, harm: str, chance: Random) -> Image.Image:
    if "faded" in harm:  # thermal print goes toward the color of the paper, unevenly from top to bottom
        pale = Image.new("RGB", picture.size, GROUND)
        ramp = Image.linear_gradient("L").resize(picture.size).point(lambda value: 90 + value * 60 // 255)
        picture = Image.composite(pale, picture, ramp)
    if (
        "worn" in harm
    ):  # a year in a glove box: pale throughout, with a crease and a stripe the printer left out
        picture = Image.blend(picture, Image.new("RGB", picture.size, GROUND), 0.8)
        pen = ImageDraw.Draw(picture)
        x = chance.randrange(WIDE - 110, WIDE - 40)
        pen.line([(x, 0), (x + 3, picture.height)], fill=GROUND, width=3)
        pen.line([(0, picture.height * 0.6), (WIDE, picture.height * 0.58)], fill=(196, 192, 186), width=2)
    if "small" in harm:
        picture = picture.resize((picture.width * 2 // 5, picture.height * 2 // 5), Image.Resampling.BILINEAR)
    if "noise" in harm:
        grain = Image.effect_noise(picture.size, 40).convert("RGB")
        picture = Image.blend(picture, grain, 0.18)
    if "blur" in harm:
        picture = picture.filter(ImageFilter.GaussianBlur(1.1))
    if "tilt" in harm:
        angle = chance.choice((-1, 1)) * chance.uniform(1.0, 4.0)
        picture = picture.rotate(
            angle, expand=True, fillcolor=(122, 116, 108), resample=Image.Resampling.BICUBIC
        )
    return picture


def jpeg(paper: dict[str, Any], quality: int = 80) -> bytes:
    out = BytesIO()
    draw(paper).save(out, "JPEG", quality=quality)
    return out.getvalue()
