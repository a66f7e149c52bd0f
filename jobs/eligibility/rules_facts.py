"""What a fund's rules on whom it helps look at, and what they find. Frozen rows, no computation but days. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from fund.money import Money

PASS, FAIL, OPEN, EXCEPTION = "pass", "fail", "open", "exception"
AUTHORITY, STATEMENT, PROGRAM_LETTER = "owner authority", "signed statement", "program letter"
PASSES_FOR_THIS_YEAR = frozenset({"benefit letter", PROGRAM_LETTER})


@dataclass(frozen=True)
class Finding:
    """One rule applied. ``code`` is the reason code it gives when it fails; ``yields`` whether exceptions exist."""

    rule: str
    outcome: str
    words: str
    code: str
    yields: bool = False
    reason: str = ""
    people: tuple[str, ...] = ()

    @property
    def stands(self) -> bool:
        return self.outcome != FAIL


@dataclass(frozen=True)
class Paper:
    """A sighted paper; ``vehicle`` is the key of the one it names, where it names one."""

    kind: str
    dated: date
    expires: date | None = None
    vehicle: int | None = None


@dataclass(frozen=True)
class Help:
    """One repair this household was given or promised: its day, and what it cost with what is still promised to it."""

    number: str
    on: date
    cost: Money


@dataclass(frozen=True, kw_only=True)
class Policy:
    """The rules of the fund on the day."""

    categorical: bool
    household_definition: str
    papers_days: int
    period_months: int
    period_repairs: int
    household_cap: Money
    value_percent: int
    registered_months: int


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What is known of a request on a day. ``cost`` is None before there is an estimate.

    ``incomes`` are the kinds of all incomes that are counted, one for each. ``vehicle`` is the key of the one to be
    repaired; ``only_vehicle`` says that the household has no other, so a paper that names none must mean it.
    """

    on: date
    within: bool
    sentence: str
    program: str
    incomes: tuple[str, ...]
    no_income_words: str
    papers: tuple[Paper, ...]
    answers: Mapping[str, str]
    consents: Mapping[str, bool]
    helped: tuple[Help, ...]
    title: str = ""
    vehicle: int | None = None
    only_vehicle: bool = True
    registered_on: date | None = None
    value: Money | None = None
    cost: Money | None = None


def fresh(paper: Paper, on: date, days: int) -> bool:
    """Whether a paper counts on a day: not expired, and not older than the days; a benefit letter counts all year."""
    if paper.expires is not None and paper.expires < on:
        return False
    if paper.kind in PASSES_FOR_THIS_YEAR and paper.dated.year == on.year:
        return True
    return paper.dated >= on - timedelta(days=days)


def months_before(on: date, months: int) -> date:
    """The same day some months earlier; the last of the month where that day does not exist."""
    place = on.year * 12 + on.month - 1 - months
    year, month = divmod(place, 12)
    for day in range(on.day, 27, -1):
        try:
            return date(year, month + 1, day)
        except ValueError:
            continue
    return date(year, month + 1, min(on.day, 28))
