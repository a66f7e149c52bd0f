"""By what two records are seen to be one household: tidied values that are equal when the thing is the same. Pure.

Phones are written as E.164 (libphonenumber's rules), addresses as :mod:`jobs.households.addresses` reads them. A
surname is each part of a name after the first, so that both Spanish surnames count; capitals, accents and marks do not.

What is tidied here is stored as digests (``models_search.SearchKey``). A change to how anything is tidied therefore
reaches records already stored only when their digests are written anew: each record when an action changes it, all of
them by ``python manage.py reseal_households``, which unseals, tidies and writes what differs. Run it after such a change.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

import phonenumbers

from jobs.households.addresses import read_address
from jobs.households.plain import plain

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
    """House number, street and unit in short forms, the unit as its number alone: ``12 mill st 4b``.

    Town, state and ZIP code stay out, and it is the same with commas or without, the unit first or last
    (:func:`~jobs.households.addresses.read_address`).
    """
    return read_address(text).key


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
