"""How often a photo is said to look like another: measured on the photos of the invented fund and on drawn papers."""

import io
import json
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from itertools import combinations
from pathlib import Path
from random import Random

import pytest
from django.conf import settings
from PIL import Image, ImageEnhance

from fund.attachments.likeness import apart, likeness
from fund.money import Money
from fund.receipts.rules_alike import Print, may_be_one_paper
from tests.fund.receipts.draw.paper import draw, papers

Paper = tuple[Print, Image.Image]
GANTRY = Print("Gantry Parts", "30536", Money(174_89), date(2026, 3, 10))


@cache
def demo() -> list[Paper]:
    """The receipts of the invented fund that have a photo."""
    found = []
    for story in sorted(Path(settings.BASE_DIR / "fixtures" / "demo").glob("*/story.jsonl")):
        for step in map(json.loads, story.read_text(encoding="utf-8").splitlines()):
            if step["do"] == "receipt" and step.get("photo"):
                day = date.fromisoformat(step["on"])
                head = Print(step["store"], step["number"], Money(step["total"]), day)
                found.append((head, Image.open(story.parent / step["photo"]).convert("L")))
    return found


@cache
def drawn() -> list[Paper]:
    found = []
    for one in papers():
        head = Print(one["store"], one["number"], Money(one["total"]), date.fromisoformat(one["on"]))
        found.append((head, draw(one).convert("L")))
    return found


def jpeg(picture: Image.Image, quality: int = 85) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=quality)
    return out.getvalue()


def copied(picture: Image.Image, chance: Random) -> Image.Image:
    """The same photo scaled, brightened or darkened."""
    scale = chance.uniform(0.5, 1.5)
    picture = picture.resize((int(picture.width * scale), int(picture.height * scale)))
    return ImageEnhance.Brightness(picture).enhance(chance.uniform(0.75, 1.1))


def again(picture: Image.Image, chance: Random) -> Image.Image:
    """The same paper photographed again: another distance, light and angle."""
    picture = copied(picture, chance)
    return picture.rotate(chance.uniform(-2.5, 2.5), expand=True, fillcolor=chance.randrange(120, 250))


def typed_again(head: Print, number: int) -> Print:
    """The head as another person types it; every third leaves the number out."""
    return head._replace(store=head.store.upper(), number="" if number % 3 == 0 else f" #{head.number}")


def prints(found: list[Paper], way: Callable[[Image.Image, Random], Image.Image] | None) -> Iterator[str]:
    for number, (_, picture) in enumerate(found):
        chance = Random(number)
        yield likeness(jpeg(way(picture, chance), chance.choice([40, 60, 80])) if way else jpeg(picture))


SETS = [pytest.param(demo, id="the invented fund"), pytest.param(drawn, id="drawn")]


@pytest.mark.parametrize("papers_of", SETS)
def test_fewer_than_one_in_a_hundred_pairs_of_different_papers_is_called_alike(
    papers_of: Callable[[], list[Paper]],
) -> None:
    found = list(zip([head for head, _ in papers_of()], prints(papers_of(), None), strict=True))
    pairs = list(combinations(found, 2))
    assert len(pairs) >= 1_000
    wrong = [(a, b) for (a, x), (b, y) in pairs if may_be_one_paper(a, b, apart(x, y))]
    assert len(wrong) / len(pairs) < 0.01


@pytest.mark.parametrize("way", [copied, again])
@pytest.mark.parametrize("papers_of", SETS)
def test_more_than_nine_in_ten_papers_photographed_again_are_found(
    papers_of: Callable[[], list[Paper]], way: Callable[[Image.Image, Random], Image.Image]
) -> None:
    heads = [head for head, _ in papers_of()]
    both = zip(heads, prints(papers_of(), None), prints(papers_of(), way), strict=True)
    seen = [
        may_be_one_paper(typed_again(head, number), head, apart(old, new))
        for number, (head, old, new) in enumerate(both)
    ]
    assert sum(seen) / len(seen) > 0.9


def test_a_copy_whose_number_was_altered_is_mostly_found_by_its_picture() -> None:
    both = zip([head for head, _ in demo()], prints(demo(), None), prints(demo(), copied), strict=True)
    seen = [may_be_one_paper(head._replace(number="777"), head, apart(old, new)) for head, old, new in both]
    assert sum(seen) / len(seen) > 0.8


@pytest.mark.parametrize(
    ("other", "bits", "alike"),
    [
        (GANTRY, 400, True),
        (GANTRY, None, True),
        (GANTRY._replace(store=" gantry  PARTS "), 400, True),
        (GANTRY._replace(number="3-0536", total=Money(1)), 400, True),
        (GANTRY._replace(number=""), 400, True),
        (GANTRY._replace(number="30537"), 400, False),
        (GANTRY._replace(number="30537"), None, False),
        (GANTRY._replace(number="30537"), 20, True),
        (GANTRY._replace(number="30537", on=date(2026, 4, 10)), 20, False),  # the bill of the month after
        (GANTRY._replace(number="30537", total=Money(1)), 20, False),
        (GANTRY._replace(number="", total=Money(1)), 20, False),
        (GANTRY._replace(store="Northside Counter"), 0, False),
        (Print("", "", None), 0, False),
    ],
)
def test_the_print_decides_and_the_picture_helps(other: Print, bits: int | None, alike: bool) -> None:
    assert may_be_one_paper(GANTRY, other, bits) is alike
    assert may_be_one_paper(other, GANTRY, bits) is alike
