"""What a check-in holds, and what it cannot be finished without. No database here.

What is asked follows the practice of the trade: mileage, lights, damage and codes are written down before
anything is touched, because afterwards nobody can tell what was there before. Mileage in miles.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from jobs.signing.rules import Strokes, drawing_wrong, signature_lacks

FUEL = {"empty": "Empty", "quarter": "¼", "half": "½", "three quarters": "¾", "full": "Full"}
CODES = {
    "none": "No codes",
    "read": "Codes read, written below",
    "no reader": "Could not be read",
}
UNSAFE = {
    "brakes": "Brakes",
    "steering": "Steering or suspension",
    "tires": "Tires or wheels",
    "fuel": "Fuel leak or smell",
    "fumes": "Exhaust fumes",
    "lights": "Lights or wipers",
    "belts": "Seat belts or airbags",
    "rust": "Rusted through where it carries",
}
# The questions that make a fault findable which comes and goes; common practice of the trade.
QUESTIONS = {
    "when": "When? Cold, hot, first start",
    "where": "Where? Town, highway, hills, bumps, rain",
    "how_often": "How often, and for how long?",
    "since": "Since when? Getting worse?",
    "switched_on": "What was switched on?",
    "still_works": "What still works meanwhile?",
}
# Good photos of a check-in, in the order of a walk round the vehicle. Common practice of the trade.
VIEWS = ("front left", "front right", "rear right", "rear left", "roof", "inside", "odometer", "dash lights")


@dataclass(frozen=True)
class CheckInFacts:
    """What was seen and told at the door.

    ``lights`` is empty only where ``no_lights`` says that none stays on; ``zones`` are keys of ``outline.ZONES``;
    ``unsafe`` keys of ``UNSAFE``; ``told`` answers to ``QUESTIONS``. Minutes and miles are the owner's own until the
    fault shows. ``signed_by`` is the name the owner typed, ``signed`` the owner's tick; ``drawn`` are the strokes of a
    drawn signature (``signing.rules``), which is enough without them.
    """

    mileage: int | None = None
    fuel: str = ""
    no_lights: bool = False
    lights: str = ""
    codes_state: str = ""
    codes: str = ""
    freeze_frame: str = ""
    zones: tuple[str, ...] = ()
    damage: str = ""
    earlier_work: str = ""
    keys: int | None = None
    valuables_out: bool = False
    vin_compared: bool = False
    unsafe: tuple[str, ...] = ()
    unsafe_words: str = ""
    intermittent: bool = False
    minutes: int | None = None
    miles: int | None = None
    told: Mapping[str, str] = field(default_factory=dict)
    signed_by: str = ""
    signed: bool = False
    drawn: Strokes | None = None


def lacking(facts: CheckInFacts, photos: int, least_photos: int) -> list[str]:
    """What still stands between a check-in and its end, a sentence each, in the order of the page."""
    lacks = []
    if facts.mileage is None:
        lacks.append("Write the mileage, as the odometer shows it.")
    if not facts.no_lights and not facts.lights.strip():
        lacks.append("Write which dash lights stay on, or tick that none does.")
    if photos < least_photos:
        lacks.append(f"Take {least_photos} photos or more; there {'is' if photos == 1 else 'are'} {photos}.")
    if facts.codes_state == "read" and not facts.codes.strip():
        lacks.append("Write the codes that were read, before anything is cleared.")
    if unsigned := signature_lacks(facts.drawn, facts.signed_by, facts.signed):
        lacks.append(unsigned)
    return lacks


def contradictions(facts: CheckInFacts) -> list[str]:
    """What cannot both be so, a sentence each."""
    found = []
    if facts.no_lights and facts.lights.strip():
        found.append("A light is written down and “none stays on” is ticked. Choose one.")
    if facts.codes_state == "none" and facts.codes.strip():
        found.append("Codes are written down and “no codes” is chosen. Choose one.")
    if not facts.intermittent and (facts.minutes is not None or facts.miles is not None):
        found.append("Minutes or miles to the fault are written: tick that it comes and goes.")
    return found


def check_choices(facts: CheckInFacts, zones: Mapping[str, object]) -> list[str]:
    """Anything that is not on the lists of the page; only a broken form sends such."""
    wrong = [zone for zone in facts.zones if zone not in zones]
    wrong += [key for key in facts.unsafe if key not in UNSAFE]
    wrong += [key for key in facts.told if key not in QUESTIONS]
    wrong += [facts.fuel] * (facts.fuel not in ("", *FUEL))
    wrong += [facts.codes_state] * (facts.codes_state not in ("", *CODES))
    found = [f"“{word}” is not on the list." for word in wrong]
    broken = drawing_wrong(facts.drawn) if facts.drawn else ""
    return [*found, *([broken] if broken else [])]


def unsafe_sentences(unsafe: list[str], words: str) -> list[str]:
    """What the owner was warned of: each unsafe thing by name, and what was written beside."""
    named = [f"{UNSAFE.get(key, key)}: not safe as it came in." for key in unsafe]
    return [*named, *([words.strip()] if words.strip() else [])]
