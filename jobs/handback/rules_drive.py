"""Whether the figures of a road test can be true at all. Plausibility, no proof; no database here."""

from dataclasses import dataclass

from jobs.repairs.rules_bounds import ROUTE_YARD

PLAUSIBLE_MPH = 100  # generous on purpose: no road test is that fast, and an odometer shows whole miles only


@dataclass(frozen=True)
class Figures:
    """Whole miles and minutes. ``mileage_in`` was read at check-in."""

    odometer_out: int
    odometer_in: int
    minutes: int
    mileage_in: int | None = None


def implausible(figures: Figures, note: str = "") -> list[str]:
    """Sentences for figures that cannot be true.

    An odometer below what was read before stands only where the note explains the odometer: it was misread before, or
    the instrument was changed.
    """
    out = []
    read = figures.mileage_in or 0
    lowest = min(figures.odometer_out, figures.odometer_in)
    if lowest < read and "odometer" not in note.lower():
        out.append(
            f"The odometer stood at {read:,} at check-in; it cannot be at {lowest:,} now. Read it again. If it was misread "
            "before or the instrument was changed, say so in the note, with the word odometer."
        )
    miles = figures.odometer_in - figures.odometer_out
    if figures.minutes > 0 and (miles - 1) * 60 > PLAUSIBLE_MPH * figures.minutes:
        out.append(
            f"{miles:,} miles in {figures.minutes} min is faster than {PLAUSIBLE_MPH} miles an hour, which is not plausible. "
            "Read the odometer and the clock again."
        )
    return out


def yard_proves_nothing(route: str, *, intermittent: bool, yard_only: bool) -> list[str]:
    """A fault that comes and goes shows on the road; a yard proves nothing against it, unless no road is allowed."""
    if route != ROUTE_YARD or not intermittent or yard_only:
        return []
    return ["The fault comes and goes, and the yard does not show that it is gone. Drive it on the road."]
