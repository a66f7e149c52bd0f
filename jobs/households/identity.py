"""By what two records are seen to be one household: tidied values that are equal when the thing is the same. Pure.

Phones are written as E.164 (libphonenumber's rules). An address is tidied with the usual short forms of street
words and unit designators of the US Postal Service (Publication 28, appendix C). A surname is each part of a name
after the first, so that both Spanish surnames count; capitals, accents and marks do not.
"""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

import phonenumbers

REASONS = {
    "vin": "the same VIN",
    "plate": "the same license plate",
    "phone": "the same phone",
    "email": "the same e-mail",
    "birth": "someone with the same birth date and surname",
    "address": "the same address",
}
ONLY_FOR_SEARCH = {"name": "a name with this word", "born": "the same birth date"}
_COUNTRY = "US"
_SUFFIXES = frozenset({"jr", "sr", "ii", "iii", "iv"})
_SHORT = {
    "street": "st",
    "avenue": "ave",
    "road": "rd",
    "drive": "dr",
    "lane": "ln",
    "court": "ct",
    "place": "pl",
    "boulevard": "blvd",
    "highway": "hwy",
    "parkway": "pkwy",
    "circle": "cir",
    "terrace": "ter",
    "trail": "trl",
    "square": "sq",
    "crossing": "xing",
    "mount": "mt",
    "route": "rte",
    "north": "n",
    "south": "s",
    "east": "e",
    "west": "w",
    "northeast": "ne",
    "northwest": "nw",
    "southeast": "se",
    "southwest": "sw",
}
_UNITS = frozenset(
    {"apartment", "apt", "unit", "suite", "ste", "number", "no", "room", "rm", "lot", "trailer", "trlr"}
)


@dataclass(frozen=True, kw_only=True)
class Someone:
    """A person by whom a household may be known again."""

    name: str
    birth_date: date | None = None


@dataclass(frozen=True, kw_only=True)
class Identity:
    """All by which a household may be known again, as typed."""

    people: tuple[Someone, ...] = ()
    phones: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()
    addresses: tuple[str, ...] = ()
    plates: tuple[str, ...] = ()
    vins: tuple[str, ...] = field(default=())


def plain(text: str) -> str:
    """Small letters and digits, without accents; everything else is a blank."""
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))
    return " ".join("".join(sign if sign.isalnum() else " " for sign in bare.casefold()).split())


def tidy_phone(text: str) -> str:
    """E.164 (``+12125550101``), or the digits of a number that libphonenumber does not know; "" without any."""
    try:
        number = phonenumbers.parse(text, _COUNTRY)
    except phonenumbers.NumberParseException:
        return "".join(sign for sign in text if sign.isdecimal())
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def tidy_plate(text: str) -> str:
    return plain(text).replace(" ", "").upper()


# 49 CFR 565.13(g): a VIN has no I, O or Q. Whoever typed one read a 1 or a 0.
_MISREAD = str.maketrans("IOQ", "100")


def tidy_vin(text: str) -> str:
    """Capitals without blanks, and what cannot stand in a VIN as the digit it was read for: so its twin is found."""
    return plain(text).replace(" ", "").upper().translate(_MISREAD)


def tidy_email(text: str) -> str:
    return text.strip().casefold()


def tidy_address(text: str) -> str:
    """Street line and unit in short forms, the unit as its number alone: ``12 mill st 4b``.

    Town, state and ZIP code stay out: they are often left away, and a fund works in one place.
    """
    parts = [plain(part) for part in text.replace("#", " unit ").replace("\n", ",").split(",")]
    street, *others = [part for part in parts if part] or [""]
    unit = next((part for part in others if part.split()[0] in _UNITS), "")
    words = [_SHORT.get(word, word) for word in f"{street} {unit}".split()]
    return " ".join(word for word in words if word not in _UNITS)


def name_words(text: str) -> list[str]:
    return [word for word in plain(text.replace("'", "").replace("’", "")).split() if word not in _SUFFIXES]


def surnames(text: str) -> list[str]:
    words = name_words(text)
    return words[1:] or words


def marks(identity: Identity) -> set[tuple[str, str]]:
    """Pairs of kind and tidied value (kinds of REASONS and ONLY_FOR_SEARCH). Empty values give none."""
    found: set[tuple[str, str]] = set()
    for someone in identity.people:
        found |= {("name", word) for word in name_words(someone.name)}
        if someone.birth_date:
            born = someone.birth_date.isoformat()
            found.add(("born", born))
            found |= {("birth", f"{born} {word}") for word in surnames(someone.name)}
    found |= _all("phone", map(tidy_phone, identity.phones))
    found |= _all("email", map(tidy_email, identity.emails))
    found |= _all("address", map(tidy_address, identity.addresses))
    found |= _all("plate", map(tidy_plate, identity.plates))
    found |= _all("vin", map(tidy_vin, identity.vins))
    return found


def _all(kind: str, values: Iterable[str]) -> set[tuple[str, str]]:
    return {(kind, value) for value in values if value}
