"""Gifts in other currencies: valued at the rate of the day they were given. Pure; rates are whole millionths."""

from fractions import Fraction

from fund.money import Money, round_half_up
from fund.refusal import BadInput

MILLION = 1_000_000
PLACES = 6


def read_rate(text: str, decimal_mark: str = ".") -> int:
    """A rate as people write it (``1.0850``: our money for one unit of theirs) in whole millionths.

    Refuses anything that is not above zero or has more than six places.
    """
    whole, _, part = text.strip().replace(decimal_mark, ".").partition(".")
    digits = (whole + part).strip()
    if not (digits.isascii() and digits.isdecimal() and whole) or len(part) > PLACES or len(whole) > 6:
        raise BadInput(f"“{text[:20]}” is not a rate. Write it like 1.0850, with six places at most.")
    rate = int(whole) * MILLION + int(part.ljust(PLACES, "0") or 0)
    if rate <= 0:
        raise BadInput("A rate is more than zero.")
    return rate


def rate_words(millionths: int) -> str:
    """A rate with four places at least: 1.0850."""
    text = f"{millionths // MILLION}.{millionths % MILLION:06}"
    return text[:-2] if text.endswith("00") else text


def value_of(foreign: Money, rate: int) -> Money:
    """What an amount (hundredths of the foreign unit) is worth in our money at a rate in millionths, half a cent up.

    The gift is worth what it was worth on the day it was given (fair value at the date of the gift, ASC 958-605-30).
    """
    return round_half_up(Fraction(foreign.minor * rate, MILLION))


def share_of(value: Money, part: Money, whole: Money) -> Money:
    """What a part of a foreign gift was worth when it was given: in proportion, half a cent up; the whole is whole."""
    return value if part == whole else round_half_up(Fraction(value.minor * part.minor, whole.minor))
