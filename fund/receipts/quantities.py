"""Quantities are whole thousandths of a unit: 9 quarts are 9000. Read and written here only."""

import re

from fund.refusal import BadInput

LIMIT = 10**9  # thousandths
UNITS: dict[str, tuple[str, str]] = {
    "each": ("each", "each"),
    "quart": ("quart", "quarts"),
    "gallon": ("gallon", "gallons"),
    "liter": ("liter", "liters"),
    "ounce": ("ounce", "ounces"),
    "pound": ("pound", "pounds"),
    "foot": ("foot", "feet"),
    "pair": ("pair", "pairs"),
    "set": ("set", "sets"),
    "hour": ("hour", "hours"),
}
FLUID_UNITS = ("quart", "gallon", "liter", "ounce")
CONDITIONS = {"-": "does not apply", "new": "new", "reman": "remanufactured", "used": "used"}


def parse_quantity(text: str) -> int:
    """Thousandths of a quantity as people write it: ``12``, ``0.5``, ``1.125``. Refuses 0, minus and letters."""
    raw = text.strip()
    match = re.fullmatch(r"(\d{0,6})(?:\.(\d{0,3}))?", raw)
    if not match or not any(match.groups()):
        raise BadInput(f"“{raw[:40]}” is not a quantity. Write it like 12 or 0.5.")
    thousandths = int(match[1] or 0) * 1000 + int((match[2] or "").ljust(3, "0"))
    if not thousandths:
        raise BadInput("A quantity is more than 0. Write it like 12 or 0.5.")
    return thousandths


def number_words(thousandths: int) -> str:
    """``9000`` as 9, ``500`` as 0.5."""
    whole, rest = divmod(abs(thousandths), 1000)
    decimals = f".{rest:03}".rstrip("0") if rest else ""
    return f"{'-' if thousandths < 0 else ''}{whole:,}{decimals}"


def quantity_words(thousandths: int, unit: str) -> str:
    """``9000, "quart"`` as 9 quarts; ``1000, "each"`` as 1."""
    if unit == "each":
        return number_words(thousandths)
    one, many = UNITS.get(unit, (unit, unit))
    return f"{number_words(thousandths)} {one if thousandths == 1000 else many}"
