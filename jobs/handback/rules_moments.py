"""What was done to a vehicle after somebody drove it or went through its check list. No database here."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Deed:
    """Work on a vehicle, or a part for it. ``on`` is the day of the work, whenever it was written down.

    ``at`` is its moment where one is known: the clock time it ended or the store printed, else when it was entered.
    None for a paper without a clock time, which says nothing about its hour.
    """

    words: str
    on: date
    at: datetime | None = None


def came_after(deed: Deed, on: date, at: datetime) -> bool:
    """Whether it was done after something of a day that was signed at a moment. The days decide, within one the moments."""
    if deed.on != on:
        return deed.on > on
    return deed.at is not None and deed.at > at


def done_after(deeds: Iterable[Deed], on: date, at: datetime) -> tuple[str, ...]:
    """Words for what came after, each once, in their order."""
    return tuple(dict.fromkeys(deed.words for deed in deeds if came_after(deed, on, at)))
