"""The second person's check list, the fluids and codes of a road test, and what is due after a hand-back.

No database here. Amounts of fluid are thousandths of a quart. The lists are common practice of the trade; the maker's
procedure comes before them.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from fund.receipts.quantities import number_words


class Answer(StrEnum):
    """What a second person says to a line of the check list. The third always says why in its note."""

    YES = "yes"
    NO = "no"
    NOT_HERE = "not here"


# Asked of every vehicle, whatever was done to it; further lines come from the kind of job.
GENERAL_LINES = (
    "The work that was approved is done, and nothing else was taken apart",
    "Bolts, clips, shields and covers are back; no tool and no rag is left behind",
    "Brake fluid and pedal are right; brake hoses are not twisted and touch nothing",
    "Oil and coolant are at their marks, caps are shut",
    "No fresh leak under the vehicle; old ones are wiped off, so that a new one shows",
    "Old parts and waste fluids are put aside and labeled",
)
# Without a kind of job nobody knows what was undone: wheels are then always asked about.
NO_JOB_LINES = (
    "If a wheel was off: nuts torqued to the maker's figure by a second person, figure written down",
)

FLUIDS = {
    "transmission": "Transmission fluid",
    "coolant": "Coolant",
    "engine oil": "Engine oil",
    "brake": "Brake fluid",
    "steering": "Power steering fluid",
    "axle": "Axle or differential oil",
}
LEVELS = {
    "at mark": "at its mark",
    "low": "low",
    "high": "high",
    "later": "read cold tomorrow",
    "none": "none of it went in",
}
NONE = "none"


@dataclass(frozen=True)
class CheckLine:
    """One line of a check list as it was answered."""

    text: str
    answer: str
    note: str = ""


@dataclass(frozen=True)
class FluidDraft:
    """A fluid as it was measured: what came ``out`` (None: not caught), went in, was added after the drive."""

    fluid: str
    level: str
    put_in: int = 0
    added: int = 0
    out: int | None = None
    temp_f: int | None = None


def lines_to_check(verify: Sequence[str] | None) -> list[str]:
    """The check list of a repair: the lines of its kind of job, or a general one, then those of every vehicle."""
    return [*(verify if verify is not None else NO_JOB_LINES), *GENERAL_LINES]


def unanswered(asked: Sequence[str], lines: Sequence[CheckLine]) -> list[str]:
    """Sentences for lines without an answer, and for a “no” or “does not apply” that does not say why."""
    said = {line.text: line for line in lines}
    out = []
    for text in asked:
        line = said.get(text)
        if line is None or line.answer not in list(Answer):
            out.append(f"Not answered: {text}.")
        elif line.answer != Answer.YES and not line.note.strip():
            out.append(f"Say why in a few words: {text}.")
    return out


def fluid_refusals(drafts: Sequence[FluidDraft], *, fluids_in_cost: bool, passing: bool) -> list[str]:
    """Why the fluids of a road test cannot stand as written.

    A pass needs each level at its mark (or a cold reading tomorrow), and a line at all where the repair was charged
    with a fluid. Too much is as bad as too little (transmission makers' service texts say so).
    """
    out = []
    for draft in drafts:
        words = FLUIDS.get(draft.fluid)
        if words is None:
            return ["Choose the fluid."]
        if draft.level not in LEVELS:
            out.append(f"{words}: say how the level stands after the drive.")
        elif passing and draft.level in ("low", "high"):
            out.append(f"{words} is {LEVELS[draft.level]} after the drive. Correct it and read it again.")
        elif passing and draft.level == "later" and draft.fluid != "coolant":
            out.append(
                f"{words} is read hot after the drive, the maker's way; only coolant waits until it is cold."
            )
    if passing and fluids_in_cost and not drafts:
        out.append(
            "A fluid is in the cost of this repair. Write how much came out, how much went in, and the level after the drive."
        )
    names = [draft.fluid for draft in drafts]
    if len(set(names)) != len(names):
        out.append("The same fluid stands there twice. Write it once, with all that went in.")
    return out


def in_vehicle(drafts: Iterable[FluidDraft]) -> int:
    """Everything that went in, top-ups too."""
    return sum(draft.put_in + draft.added for draft in drafts)


def fluid_warnings(drafts: Sequence[FluidDraft], charged: int) -> list[str]:
    """What does not tie: quarts in the vehicle against quarts in the cost, and much more or less in than out."""
    out = []
    went = in_vehicle(drafts)
    if drafts and went != charged:
        more, less = (went, charged) if went > charged else (charged, went)
        gap = number_words(more - less)
        out.append(
            f"{number_words(went)} quarts went in; {number_words(charged)} are in the cost. "
            + (
                f"Take {gap} more from the shelf for this repair, or correct the receipt."
                if went > charged
                else f"Put {gap} back on the shelf, or say where they went."
            )
        )
    for draft in drafts:
        if draft.out and abs(draft.put_in + draft.added - draft.out) > max(draft.out // 10, 500):
            out.append(
                f"{FLUIDS[draft.fluid]}: {number_words(draft.out)} quarts came out, "
                f"{number_words(draft.put_in + draft.added)} went in. Is the level really right?"
            )
    return out


def codes_in(text: str) -> list[str]:
    """Trouble codes in what was typed, in order: ``p0301, U0100`` gives P0301 and U0100 (SAE J2012 shape)."""
    found = re.findall(r"\b[PCBU][0-3][0-9A-F]{3}\b", text.upper())
    return list(dict.fromkeys(found))


def says_something(text: str) -> bool:
    """Whether a box of codes names any: ``all of them`` does, ``none`` or a dash do not."""
    return text.strip().strip(".-–—").strip().lower() not in (
        "",
        "none",
        "no",
        "no codes",
        "nothing",
        "0",
        "n/a",
    )


def code_refusals(*, cleared: str, pending: str, readiness: str) -> list[str]:
    """Why the codes speak against a pass: one that was cleared is back, or nobody read the monitors after clearing."""
    out = [
        f"{code} was cleared and is back. The fault is not repaired."
        for code in codes_in(cleared)
        if code in codes_in(pending)
    ]
    if says_something(cleared) and readiness == "not read":
        out.append(
            "Codes were cleared, which erases the monitors. Read afterwards whether they are ready, and write it."
        )
    return out


CALL_DAYS = 30
RETORQUE_DAYS = 3  # 50 to 100 miles at what a household drives in a few days; common practice
LEVEL_DAYS = 1
CALL = "Call: is it still good?"
RETORQUE = "Wheel nuts: torque again after 50 to 100 miles."
LEVEL = "Coolant level, engine cold, the next morning."


@dataclass(frozen=True)
class Due:
    """Something to do after a hand-back, on a day."""

    on: date
    text: str


def reminders_after(
    handed_back: date, of_job: Sequence[Mapping[str, object]], *, wheels_off: bool, cold_level: bool
) -> list[Due]:
    """What is due after a hand-back, by day: what the kind of job asks for, and what every vehicle needs."""
    wanted = {str(row["text"]): int(str(row["days"])) for row in of_job}
    texts = " ".join(wanted).lower()
    if wheels_off and "torque" not in texts:
        wanted[RETORQUE] = RETORQUE_DAYS
    if cold_level and "level" not in texts:
        wanted[LEVEL] = LEVEL_DAYS
    if "call" not in texts:
        wanted[CALL] = CALL_DAYS
    rows = [Due(handed_back + timedelta(days=days), text) for text, days in wanted.items()]
    return sorted(rows, key=lambda due: (due.on, due.text))


@dataclass(frozen=True)
class ComebackRate:
    """Comebacks against repairs handed back in the same span. Counts of repair orders."""

    comebacks: int
    given: int

    @property
    def tenths_of_percent(self) -> int | None:
        """Rounded half up; None where nothing was handed back."""
        if not self.given:
            return None
        return (self.comebacks * 2000 + self.given) // (2 * self.given)

    @property
    def words(self) -> str:
        rate = self.tenths_of_percent
        return "no repair handed back yet" if rate is None else f"{rate // 10}.{rate % 10}%"

    @property
    def warns(self) -> bool:
        """5% and more; common practice of the trade, which aims at 1 to 3%."""
        return self.tenths_of_percent is not None and self.tenths_of_percent >= 50
