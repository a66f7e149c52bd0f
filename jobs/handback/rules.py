"""Whether a road test passed, and what must be there before keys go back. No database here.

Minutes are minutes of driving, distances whole miles by the odometer.
"""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

# Each must be yes for a pass. The first one comes before the vehicle moves at all.
SAFETY_LINES = (
    ("brake_pedal_right", "Brake fluid and pedal are right, no hydraulic leak"),
    ("fluids_right", "Oil and coolant are at their marks"),
    ("tires_right", "Tires: pressure, type and wear are safe"),
    ("lights_work", "Lights, horn and wipers work"),
    ("wheel_nuts_torqued", "Wheel nuts are torqued in a star, on clean dry threads"),
    ("stops_straight", "It stops straight from low speed, and the parking brake holds"),
    ("steering_right", "Steering: no free play, no pull, it centers itself"),
    ("no_leaks", "No leak after ten minutes at idle"),
)

# What an owner signs for when the vehicle goes back.
SIGNING = "I received the vehicle and its keys, and I was told what was not done."


class Result(StrEnum):
    """How a road test ended. The third is never called fixed."""

    PASS = "pass"
    FAIL = "fail"
    NOT_DUPLICATED = "could not duplicate"


@dataclass(frozen=True)
class Drive:
    """What a road test found, and the owner's own figures to the fault (None when never told).

    ``yard_only``: it may not be driven on the road at all.
    """

    odometer_out: int
    odometer_in: int
    minutes: int
    complaint_returned: bool
    safety: dict[str, bool]
    intermittent: bool = False
    owner_minutes: int | None = None
    owner_miles: int | None = None
    yard_only: bool = False

    @property
    def miles(self) -> int:
        return self.odometer_in - self.odometer_out


@dataclass(frozen=True)
class Verdict:
    """The best result the facts allow, and why they allow no better one."""

    result: Result
    reasons: tuple[str, ...]


def least(owner_figure: int, factor_tenths: int) -> int:
    """The least drive for an owner's figure: times the factor (in tenths), rounded up to a whole unit."""
    return -(-Fraction(owner_figure * factor_tenths, 10) // 1)


def too_short(drive: Drive, factor_tenths: int = 15) -> list[str]:
    """Sentences for a drive shorter than an intermittent fault asks for: the owner's figures times the fund's factor.

    1.5 to 2 times is common practice of the trade.
    """
    if not drive.intermittent:
        return []
    reasons = []
    for figure, unit, done in (
        (drive.owner_minutes, "minute", drive.minutes),
        (drive.owner_miles, "mile", drive.miles),
    ):
        if figure is not None and done < least(figure, factor_tenths):
            reasons.append(
                f"The owner's fault shows after {count(figure, unit)}; drive at least "
                f"{least(figure, factor_tenths)}{times(factor_tenths)}, this drive was {done}."
            )
    if drive.owner_minutes is None and drive.owner_miles is None:
        reasons.append("The fault comes and goes: ask the owner after how many minutes or miles it shows.")
    return reasons


def times(factor_tenths: int) -> str:
    """`` (1.5 times)``; nothing where the owner's own figure is enough."""
    whole, rest = divmod(factor_tenths, 10)
    return "" if factor_tenths == 10 else f" ({whole}.{rest} times)" if rest else f" ({whole} times)"


def ask_at_least(
    intermittent: bool, owner_minutes: int | None, owner_miles: int | None, factor_tenths: int
) -> str:
    """What the drive must be at least, in words, for an intermittent fault; empty for a steady one."""
    told = ((owner_minutes, "minute"), (owner_miles, "mile"))
    parts = [count(least(figure, factor_tenths), unit) for figure, unit in told if figure is not None]
    return " and ".join(parts) if intermittent else ""


def verdict(drive: Drive, factor_tenths: int = 15) -> Verdict:
    """Pass, or fail with every reason.

    A pass needs every safety line, miles on the odometer, and a complaint that stayed away; an intermittent
    one must have stayed away for at least the owner's own minutes and miles, times the fund's factor.
    Practice of the trade; the fund's factor is its own rule.
    """
    reasons = [f"Not yes: {words}." for name, words in SAFETY_LINES if not drive.safety.get(name)]
    if drive.complaint_returned:
        reasons.append("The complaint came back on the drive.")
    if drive.miles <= 0:
        reasons.append(
            "The odometer does not show a drive: the figure coming in must be higher than going out."
        )
    if drive.minutes <= 0:
        reasons.append("Write how many minutes the drive took.")
    reasons += too_short(drive, factor_tenths)
    return Verdict(Result.FAIL if reasons else Result.PASS, tuple(reasons))


def refusals(claimed: Result, drive: Drive, *, factor_tenths: int, note: str) -> list[str]:
    """Why the result somebody wants to sign cannot stand; empty when it can."""
    if drive.miles < 0:
        return ["The odometer came in lower than it went out. Read both figures again."]
    found = verdict(drive, factor_tenths)
    if claimed is Result.FAIL:
        if found.result is Result.PASS and not note.strip():
            return ["Nothing here speaks against a pass. Say in the note what failed."]
        return []
    reasons = list(found.reasons)
    if (
        claimed is Result.NOT_DUPLICATED and drive.yard_only
    ):  # a yard cannot show more; the note says what was tested
        reasons = [reason for reason in reasons if reason not in too_short(drive, factor_tenths)]
    if claimed is Result.NOT_DUPLICATED and not note.strip():
        reasons.append(
            "Say in the note under which conditions you tested: road, speed, load, heat, how long."
        )
    return reasons


@dataclass(frozen=True)
class Lack:
    """What stands between a repair and its hand-back: a sentence, and the page (a name of a URL) where it is put right."""

    text: str
    page: str = ""


@dataclass(frozen=True)
class Standing:
    """Where the proof of a repair stands. ``odometer`` and ``on`` None: not asked yet.

    ``untested``: an owner of the fund lets it go without a road test; ``refused``: what the owner refused, unanswered.
    ``file_lacks``: the elements of the household's file that are not there, with their pages. ``done_after_…``: work and
    parts that came after the last road test or check list; ``failed_after_check``: the day of a failed test since then.
    ``cause_differs`` from the approved one; ``owner_told``: the vehicle's owner said yes to cause and work as they stand.
    """

    state_allows: bool
    last_result: Result | None = None
    tested_on: date | None = None
    done_after_test: tuple[str, ...] = ()
    odometer_after_test: int | None = None
    odometer: int | None = None
    open_drafts: tuple[str, ...] = ()
    owner_agrees: bool = True
    on: date | None = None
    checked: bool = False
    done_after_check: tuple[str, ...] = ()
    failed_after_check: date | None = None
    cause_differs: bool = False
    owner_told: bool = True
    check_against: tuple[str, ...] = ()
    correction: str = ""
    refused: tuple[str, ...] = ()
    untested: bool = False
    file_lacks: tuple[tuple[str, str], ...] = ()


def missing(now: Standing) -> list[Lack]:
    """What still stands between a repair and its hand-back, in the order of the work; empty when it can go."""
    lacks = [
        Lack(
            f"The owner refused what makes it safe: {text}. An owner of the fund decides whether it goes back untested.",
            "handback:unsafe",
        )
        for text in now.refused
    ]
    lacks += [] if now.untested or now.refused else _test_lacks(now)
    lacks += _check_lacks(now)
    lacks += _yes_lacks(now)
    if not now.correction.strip():
        lacks.append(
            Lack("The correction is not written: what was done, and how it was proved.", "repairs:correction")
        )
    elif now.last_result is Result.NOT_DUPLICATED and re.search(r"\bfixed\b", now.correction, re.IGNORECASE):
        lacks.append(
            Lack(
                "The fault could not be duplicated, so the correction cannot say “fixed”.",
                "repairs:correction",
            )
        )
    lacks += [
        Lack(f"Receipt {code} is still a draft. Post it, so that the cost on the sheet is whole.")
        for code in now.open_drafts
    ]
    lacks += [Lack(f"The household's file does not have: {words}.", page) for words, page in now.file_lacks]
    if (
        now.odometer is not None
        and now.odometer_after_test is not None
        and now.odometer < now.odometer_after_test
    ):
        lacks.append(
            Lack(
                f"The odometer stood at {now.odometer_after_test:,} after the road test; it cannot be lower now."
            )
        )
    if now.on is not None and now.tested_on is not None and now.on < now.tested_on:
        lacks.append(Lack("The hand-back cannot come before the road test. Check the day."))
    return lacks


def _test_lacks(now: Standing) -> list[Lack]:
    page = "handback:road-test"
    lacks = []
    if now.last_result is None or now.tested_on is None:
        lacks.append(Lack("There is no road test yet. Drive it and record the test.", page))
    elif now.last_result is Result.FAIL:
        lacks.append(Lack("The last road test failed. Put it right and drive again.", page))
    elif now.done_after_test:
        lacks.append(
            Lack(f"Done after the road test: {'; '.join(now.done_after_test)}. Drive it again.", page)
        )
    elif not now.state_allows:
        lacks.append(Lack("The repair order is not at the road-tested step."))
    if now.last_result is Result.NOT_DUPLICATED and not now.owner_agrees:
        words = (
            "The fault could not be duplicated. Tell the owner so, and tick that they agree to take it back."
        )
        lacks.append(Lack(words))
    return lacks


def _yes_lacks(now: Standing) -> list[Lack]:
    """Fund and owner each said yes to one cause; the sheet carries the one that stands now."""
    lacks = []
    if now.cause_differs:
        words = (
            "The cause as written now is not the one that was approved. Ask for a supplement, at 0.00 if the cost stays "
            "the same, or write the approved cause again."
        )
        lacks.append(Lack(words, "estimates:supplement"))
    if not now.owner_told:
        words = "The vehicle's owner has not said yes to the cause and the work as they stand now. Ask them, and write it down."
        lacks.append(Lack(words, "jobtypes:owner-yes"))
    return lacks


def _check_lacks(now: Standing) -> list[Lack]:
    page = "handback:check-list"
    if not now.checked:
        return [
            Lack("Nobody has gone through the check list yet. Somebody who did not do the work does.", page)
        ]
    if now.check_against:
        return [
            Lack(f"On the check list: {text}. Put it right and go through it again.", page)
            for text in now.check_against
        ]
    if now.failed_after_check is not None:
        return [
            Lack(
                "A road test failed after the check list was signed. Go through it again after the work.",
                page,
            )
        ]
    if now.done_after_check:
        return [
            Lack(f"Done after the check list: {'; '.join(now.done_after_check)}. Go through it again.", page)
        ]
    return []


def count(number: int, unit: str) -> str:
    """``1 minute``, ``25 minutes``."""
    return f"{number} {unit}{'' if number == 1 else 's'}"
