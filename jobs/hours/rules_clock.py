"""Clock times beside hours: one person is never in two bays at once. No database here."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import time

from jobs.hours.rules import hours_text

MINUTES_OF_A_TENTH = 6


@dataclass(frozen=True)
class Span:
    """From one clock time to another on one day, and what it was for in words."""

    starts: time
    ends: time
    what: str = ""

    @property
    def words(self) -> str:
        return f"{self.starts:%H:%M} to {self.ends:%H:%M}"


def tenths_between(starts: time, ends: time) -> int:
    """Whole tenths of an hour from one clock time to the other, half up; below zero if they stand the wrong way."""
    minutes = (ends.hour - starts.hour) * 60 + ends.minute - starts.minute
    return (minutes + MINUTES_OF_A_TENTH // 2) // MINUTES_OF_A_TENTH


def clock_refusal(starts: time | None, ends: time | None, tenths: int | None, people: int = 1) -> str | None:
    """Why clock times cannot stand beside hours, or None. Pauses may make the hours fewer, never more."""
    if starts is None and ends is None:
        return None
    if starts is None or ends is None:
        return "Write both clock times, or neither."
    span = tenths_between(starts, ends)
    if span <= 0:
        return f"{ends:%H:%M} is not after {starts:%H:%M}. Work past midnight is two rows, one for each day."
    if tenths is not None and tenths > span * people:
        each = "" if people == 1 else f" for each of {people}"
        return f"From {starts:%H:%M} to {ends:%H:%M} there are {hours_text(span)} h{each}; {hours_text(tenths)} h do not fit."
    return None


def overlap(new: Span, others: Iterable[Span]) -> Span | None:
    """Another span of the same person that shares a minute with this one; touching ends do not."""
    return next((span for span in others if span.starts < new.ends and new.starts < span.ends), None)
