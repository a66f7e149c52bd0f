"""In which order the waiting are taken: points by a stated rule whose weights the owner sets. Pure.

There is no published standard for the weights; that safety comes first, then need, then the date is common practice
of small repair charities. Nothing else counts: no gift, no friendship, no one in the crew is part of the rule.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

NEED_LEVELS = {"treatment": 2, "work": 1, "study": 1, "care": 1, "other": 0}
DEPENDENCE_LEVELS = {"none": 2, "hard": 1, "vehicle": 0, "": 0}
NEED_WORDS = {
    "treatment": "it is needed for medical treatment",
    "work": "it is needed to get to work",
    "study": "it is needed for school or training",
    "care": "it is needed to care for someone",
}
DEPENDENCE_WORDS = {"none": "there is no other way to get around", "hard": "other ways are hard"}


@dataclass(frozen=True, kw_only=True)
class Weights:
    """Points: ``safety`` once; ``need`` and ``dependence`` for each of two levels; ``day`` for each day waited."""

    safety: int
    need: int
    dependence: int
    day: int


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """What of a request counts, and its code, which settles nothing but the last tie."""

    code: str
    drivable: str
    need: str
    other_way: str
    asked_on: date


@dataclass(frozen=True)
class Part:
    """Why so many points: ``key`` is safety, need, dependence or days."""

    key: str
    points: int
    words: str


def parts(waiting: Waiting, weights: Weights, on: date) -> list[Part]:
    """The points of a request on a day, each with its reason. A day before it was asked gives none."""
    days = max((on - waiting.asked_on).days, 0)
    need, dependence = NEED_LEVELS[waiting.need], DEPENDENCE_LEVELS[waiting.other_way]
    found = [
        Part("safety", weights.safety * (waiting.drivable == "unsafe"), "it is not safe to drive"),
        Part("need", weights.need * need, NEED_WORDS.get(waiting.need, "")),
        Part("dependence", weights.dependence * dependence, DEPENDENCE_WORDS.get(waiting.other_way, "")),
        Part("days", weights.day * days, f"{days} days of waiting" if days != 1 else "1 day of waiting"),
    ]
    return [part for part in found if part.points]


def points(waiting: Waiting, weights: Weights, on: date) -> int:
    return sum(part.points for part in parts(waiting, weights, on))


def in_order(rows: Iterable[Waiting], weights: Weights, on: date) -> list[Waiting]:
    """Most points first; among equals whoever asked first, then the lower code."""
    return sorted(rows, key=lambda row: (-points(row, weights, on), row.asked_on, row.code))


def explained(found: Iterable[Part]) -> str:
    """The points of one request in a sentence: ``130 points: 100 because it is not safe to drive, 30 because …``."""
    given = list(found)
    if not given:
        return "No points yet: nothing of the rule applies, and it was asked today."
    because = [f"{part.points} {'for' if part.key == 'days' else 'because'} {part.words}" for part in given]
    whole = sum(part.points for part in given)
    return f"{whole} point{'s' if whole != 1 else ''}: {', '.join(because)}."


def in_words(weights: Weights) -> str:
    """The rule itself, in sentences."""
    return (
        f"Points decide, and more points come first. A vehicle that is not safe to drive has {weights.safety}. One needed "
        f"for medical treatment has {2 * weights.need}; for work, school or care, {weights.need}. Without any other way to "
        f"get around there are {2 * weights.dependence} more; where other ways are hard, {weights.dependence}. "
        f"Each day of waiting adds {weights.day}. Among equals, whoever asked first. Gifts and friendships change nothing."
    )
