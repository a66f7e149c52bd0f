"""What is asked of a household that wants help. Pure; the order of waiting is in rules_order."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from fund.refusal import BadInput
from jobs.households.rules import AREAS, PROGRAMS

# Asked before anyone collects papers. Each is put so that "yes" lets the request go on.
QUESTIONS = {
    "lives here": "Do you live in the area we serve?",
    "own vehicle": "Is the title in your name, or in the name of someone in your household?",
    "license": "Does someone in your household have a valid driver's license?",
    "insured": "Is the vehicle insured, or will it be once it runs?",
    "own use": "Is it for your household's own use (not for resale, not for a business)?",
    "still to do": "Is the repair still to be done? We cannot pay for one that was done already.",
    "first in a year": "Has it been 12 months or more since we last repaired a vehicle for you? If we never did, say yes.",
}
ANSWERS = {"yes": "yes", "no": "no", "not sure": "not sure"}

CONSENTS = {
    "data": "The fund may keep and use what I tell it to decide on my request.",
    "work": "The crew may inspect and repair the vehicle.",
    "road test": "The crew may drive the vehicle on the road to test it.",
    "story": "The fund may tell our story without our names. (Help does not depend on this.)",
    "photos": "The fund may show photos of the repair. (Help does not depend on this.)",
    "children": "Our children may be seen in those photos. They said yes too. (Help does not depend on this.)",
}
NEEDED_CONSENTS = ("data", "work", "road test")
OPTIONAL_CONSENTS = frozenset({"story", "photos", "children"})

CLASSES = [
    "compact car",
    "sedan",
    "wagon",
    "hatchback",
    "minivan",
    "van",
    "crossover",
    "pickup",
    "motorcycle",
    "other",
]
NEEDS = {
    "treatment": "medical treatment",
    "work": "getting to work",
    "study": "school or training",
    "care": "caring for someone",
    "other": "something else",
}
DRIVABLE = {
    "yes": "It drives.",
    "unsafe": "It drives, but it does not feel safe.",
    "no": "It does not drive.",
}
# What the household has when this vehicle stands still.
OTHER_WAYS = {
    "vehicle": "Another vehicle of ours runs.",
    "hard": "A bus or rides from others, but it is hard.",
    "none": "There is no other way.",
}
# Who belongs to a household, by the fund's definition (rule household_definition), as it is told to who asks.
BELONGS = {
    "everyone at the address": "Everyone who lives at your address counts, roommates too.",
    "people who share money": "Everyone who shares money with you counts. A roommate who pays for their own food does not.",
}
WEB = "web"
CHANNELS = {
    "phone": "by telephone",
    "in person": "in person",
    "referral": "sent by a partner",
    WEB: "by the public form",
}

STATES = {
    "waiting": "waiting",
    "more papers needed": "more papers needed",
    "eligible": "eligible",
    "not eligible": "not eligible",
    "withdrawn": "withdrawn",
    "helped": "helped",
}
OPEN_STATES = ("waiting", "more papers needed", "eligible")
ADULT = 18


@dataclass(frozen=True, kw_only=True)
class Asking:
    """What one household tells when it asks for help. ``consents`` and ``answers`` use the keys above."""

    name: str
    complaint: str
    consents: Mapping[str, bool]
    answers: Mapping[str, str] = field(default_factory=dict)
    phone: str = ""
    email: str = ""
    address: str = ""
    language: str = "en"
    area: str = "contiguous"
    vehicle_year: int | None = None
    vehicle_class: str = "other"
    vehicle_words: str = ""
    drivable: str = "yes"
    need: str = "work"
    need_words: str = ""
    channel: str = "phone"
    referral: str = ""
    birth_date: date | None = None
    best_time: str = ""
    other_way: str = ""
    plate: str = ""
    vin: str = ""
    mileage: int | None = None
    registered_on: date | None = None
    program: str = ""
    no_income_words: str = ""

    @property
    def knows_vehicle(self) -> bool:
        """Whether more is told of the vehicle than what kind it is."""
        return bool(self.plate.strip() or self.vin.strip() or self.mileage is not None or self.registered_on)


def check_asking(asking: Asking, today: date) -> None:
    """Refuses a request that can't be worked with, and one without consent to keep what was told."""
    if not asking.name.strip():
        raise BadInput("Write the name of the person who asks.")
    if not asking.complaint.strip():
        raise BadInput("Write what is wrong with the vehicle, in the person's own words.")
    if not (asking.phone.strip() or asking.email.strip() or asking.address.strip()):
        raise BadInput("Write a phone number, an e-mail or an address, so that we can answer.")
    if asking.vehicle_year is not None and not 1900 <= asking.vehicle_year <= today.year + 1:
        raise BadInput(f"The model year is from 1900 to {today.year + 1}, not {asking.vehicle_year}.")
    if not asking.consents.get("data"):
        raise BadInput("Without the yes to keep and use what was told, nothing of this can be kept.")
    if asking.consents.get("children") and not asking.consents.get("photos"):
        raise BadInput("Children are in photos only where photos are agreed to. Tick both, or neither.")
    if asking.birth_date is not None:
        _check_age(asking.birth_date, today)
    _check_vehicle(asking, today)
    _check_choices(asking)


def _check_age(born: date, today: date) -> None:
    if not date(1900, 1, 1) <= born <= today:
        raise BadInput(f"A birth date cannot be {born}. Write it as on the papers.")
    if years_between(born, today) < ADULT:
        raise BadInput(
            "The person asking is under 18. A parent or guardian asks and signs: write that person as the one "
            "asking, and the owner of the vehicle as one of the household."
        )


def years_between(born: date, today: date) -> int:
    return today.year - born.year - ((today.month, today.day) < (born.month, born.day))


def _check_vehicle(asking: Asking, today: date) -> None:
    if asking.knows_vehicle and asking.vehicle_year is None:
        raise BadInput("Write the model year of the vehicle too. A good guess will do.")
    if asking.registered_on is not None and not date(1900, 1, 1) <= asking.registered_on <= today:
        raise BadInput(f"A vehicle cannot be registered since {asking.registered_on}.")


def _check_choices(asking: Asking) -> None:
    choices = (
        (asking.area, AREAS, "area"),
        (asking.vehicle_class, CLASSES, "kind of vehicle"),
        (asking.drivable, DRIVABLE, "answer to whether it drives"),
        (asking.need, NEEDS, "need"),
        (asking.channel, CHANNELS, "way it came in"),
        (asking.other_way or "none", OTHER_WAYS, "other way to get around"),
        (asking.program or "other", PROGRAMS, "program"),
    )
    for value, known, words in choices:
        if value not in known:
            raise BadInput(f"“{value[:30]}” is not a known {words}. Choose one of: {', '.join(known)}.")
    strange = [*(set(asking.consents) - set(CONSENTS)), *(set(asking.answers) - set(QUESTIONS))]
    if strange or not set(asking.answers.values()) <= {*ANSWERS, ""}:
        raise BadInput("A question or consent is not one that we ask. Take the form again.")


def in_the_way(answers: Mapping[str, str]) -> list[str]:
    """The questions answered "no": each may end the request before any paper is asked for."""
    return [words for key, words in QUESTIONS.items() if answers.get(key) == "no"]


def to_ask_again(answers: Mapping[str, str]) -> list[str]:
    """The questions left open or answered "not sure"."""
    return [words for key, words in QUESTIONS.items() if answers.get(key, "") not in ("yes", "no")]
