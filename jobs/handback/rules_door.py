"""What was wrong with a vehicle at the door, asked about again before it goes back. No database here."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from jobs.handback.rules import Lack
from jobs.handback.rules_proof import Answer, says_something
from jobs.vehicles.rules_checkin import UNSAFE

# Common practice of the trade: known to be unsafe, these go back only after a written refusal of the owner.
HELD = ("brakes", "steering", "tires")
NO_LIGHT = ("off", "all off", "out", "all out", "no light", "no lights", "none on", "none stays on")
_UNSAFE, _LIGHTS = "Came in not safe", "Came in with warning lights on"


@dataclass(frozen=True)
class DoorLine:
    """One line of the check list about the check-in. ``part`` is a key of ``UNSAFE``, empty where it is none of them."""

    text: str
    part: str
    left: str  # how the sheet begins to tell it where it was not put right


def door_lines(unsafe: Sequence[str], unsafe_words: str, lights: str) -> list[DoorLine]:
    """What a second person is asked because of the check-in: each mark of not safe, and the lights that stayed on.

    What was said to the owner is a line of its own only where nothing was marked: beside a mark it explains that.
    """
    said = unsafe_words.strip().rstrip(".")
    named = [(key, UNSAFE.get(key, key)) for key in unsafe] or ([("", said)] if said else [])
    lines = [
        DoorLine(
            f"{_UNSAFE}: {words}. It is put right",
            key,
            f"NOT SAFE, as it came in, and not put right: {words}",
        )
        for key, words in named
    ]
    if names_a_light(lights):
        lit = lights.strip().rstrip(".")
        left = f"Warning lights that were on when it came in, not put right: {lit}"
        lines.append(DoorLine(f"{_LIGHTS}: {lit}. They are out, and their cause is put right", "", left))
    return lines


def is_door_line(text: str) -> bool:
    return text.startswith((f"{_UNSAFE}: ", f"{_LIGHTS}: "))


def names_a_light(text: str) -> bool:
    """Whether a box of warning lights names any: ``ABS`` does, ``none`` or ``all off`` do not."""
    return says_something(text) and text.strip().strip(".").lower() not in NO_LIGHT


def left_from_the_door(asked: Sequence[DoorLine], answers: Sequence[Mapping[str, str]]) -> list[str]:
    """For the sheet: what came in wrong and was not put right, by the check list. ``answers`` are ``CheckList.lines``."""
    notes = {row["text"]: row["note"] for row in answers if row["answer"] != Answer.YES}
    return [f"{line.left} ({notes[line.text]})" for line in asked if line.text in notes]


def lit_after(lights_after: str) -> list[str]:
    """For the sheet: the lights that the last road test saw."""
    lit = lights_after.strip().rstrip(".")
    return [f"Warning lights on after the road test: {lit}"] if names_a_light(lit) else []


def door_lacks(
    asked: Sequence[DoorLine], answers: Sequence[Mapping[str, str]], refused: Collection[str]
) -> list[Lack]:
    """What of the check-in still stands before the keys, once there is a check list.

    ``refused`` holds the parts of the standing refusals, empty for one whose paper names its part in its own words:
    such a paper answers every part.
    """
    said = {row["text"]: row["answer"] for row in answers}
    lacks = []
    for line in asked:
        answer = said.get(line.text)
        if answer is None:
            words = f"The check list does not answer: {line.text}. Go through it again."
            lacks.append(Lack(words, "handback:check-list"))
        elif answer == Answer.NOT_HERE and line.part in HELD and not {line.part, ""} & set(refused):
            words = (
                f"{UNSAFE[line.part]}: not safe, and not put right. Put it right and go through the check list again, "
                "or have the owner sign that they refuse it."
            )
            lacks.append(Lack(words, "handback:unsafe"))
    return lacks
