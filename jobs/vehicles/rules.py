"""The check digit of a vehicle identification number, 49 CFR 565.15(c).

A wrong digit warns and never blocks: vehicles from before model year 1981, imports, trailers and kit
vehicles carry numbers that fail honestly.
"""

from dataclasses import dataclass
from datetime import date

from fund.money import Money
from fund.refusal import BadInput

TITLES = {"household": "someone of the household", "other": "someone else"}
VIN_LENGTH = 17
CHECK_POSITION = 9
NEVER_IN_A_VIN = "IOQ"
LOOKS_LIKE = {"I": "1", "O": "0", "Q": "0"}

# 49 CFR 565.15(c), Table III: the value of each letter; I, O and Q have none. Digits count as themselves.
VALUES = {str(digit): digit for digit in range(10)} | {
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    "J": 1,
    "K": 2,
    "L": 3,
    "M": 4,
    "N": 5,
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
# 49 CFR 565.15(c), Table IV: the weight of positions 1 to 17; the check digit itself weighs nothing.
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What the fund's rules ask of a vehicle: whose title, registered since when, worth what (and who says so)."""

    title: str = ""
    registered_on: date | None = None
    value: Money | None = None
    value_source: str = ""


def check_standing(standing: Standing, today: date) -> None:
    """Refuses a day to come, a worth below zero, and a worth without who says so."""
    if standing.title and standing.title not in TITLES:
        raise BadInput("Say whether the title is in the name of someone of the household or of someone else.")
    if standing.registered_on is not None and not date(1900, 1, 1) <= standing.registered_on <= today:
        raise BadInput(f"A vehicle cannot be registered since {standing.registered_on}.")
    if standing.value is not None and standing.value < Money.zero:
        raise BadInput("A vehicle cannot be worth less than nothing.")
    if standing.value is not None and not standing.value_source.strip():
        raise BadInput(
            "Write who says what the vehicle is worth: a price guide and its month, or a buyer's offer."
        )


def tidy_vin(text: str) -> str:
    """The number as stamped: capitals, without blanks and dashes."""
    return "".join(text.split()).replace("-", "").upper()


def weighted_sum(vin: str) -> int:
    """Sum of value times weight over the 17 positions. Every character must be one a VIN may hold."""
    return sum(VALUES[character] * weight for character, weight in zip(vin, WEIGHTS, strict=True))


def check_digit(vin: str) -> str:
    """What position 9 should hold: the remainder of the weighted sum by 11, with 10 written X."""
    remainder = weighted_sum(vin) % 11
    return "X" if remainder == 10 else str(remainder)


def vin_warning(text: str) -> str:
    """A sentence on what looks wrong in a VIN, or "" when nothing does. An empty VIN has no warning."""
    vin = tidy_vin(text)
    if not vin:
        return ""
    for letter in NEVER_IN_A_VIN:
        if letter in vin:
            place = vin.index(letter) + 1
            return (
                f"Position {place} is the letter {letter}, which a VIN never holds. "
                f"Is it {LOOKS_LIKE[letter]}? Read the plate on the dash again."
            )
    for place, character in enumerate(vin, start=1):
        if character not in VALUES:
            return f"Position {place} is “{character}”; a VIN holds only digits and letters. Read it again."
    if len(vin) != VIN_LENGTH:
        return (
            f"This VIN has {len(vin)} characters; vehicles since model year 1981 have {VIN_LENGTH}. "
            "Count them again, or keep it if the vehicle is older."
        )
    expected, found = check_digit(vin), vin[CHECK_POSITION - 1]
    if expected != found:
        return (
            f"Position 9 is {found}, but the other characters ask for {expected}: one of them is probably "
            "misread. Compare it with the title. Keep it if it is right: imports and trailers can differ."
        )
    return ""
