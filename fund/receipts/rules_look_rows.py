"""What the second look at receipts reads and tells: frozen rows, no database."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fund.money import Money

KINDS = {
    "limit": "just under a limit",
    "numbers": "numbers in a row",
    "words": "vague words",
    "missing": "receipts missing",
    "twice": "same amount twice",
    "card": "whose card",
    "cores": "old units late",
}
NEAR_PERCENT = 90  # of a limit, from where on an amount is just under it (common practice, no source)


@dataclass(frozen=True, slots=True)
class Paper:
    """A posted receipt. ``serial`` is the number at the end of what stands on it, ``series`` what stands before that.

    ``decides`` tells that its buyer approves repairs without being an owner; ``said`` is what was written at entry
    about a second purchase.
    """

    code: str
    on: date
    store: str
    number: str
    series: str
    serial: int | None
    total: Money
    tender: str
    last4: str
    missing: bool
    buyer: int
    name: str
    approved_by: int | None = None
    decides: bool = False
    said: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A line of a posted receipt, before tax, that is no personal thing."""

    code: str
    on: date
    store: str
    text: str
    amount: Money
    buyer: int
    name: str


@dataclass(frozen=True, slots=True)
class OldUnit:
    """A core deposit that is still out, and who bought the part it came with."""

    code: str
    item: str
    store: str
    amount: Money
    due_on: date
    buyer: int
    name: str


@dataclass(frozen=True, slots=True)
class Limit:
    """One value of a dated rule from a day until the day before another; ``words`` is the rule's own label."""

    name: str
    words: str
    value: Money
    since: date = date.min
    until: date = date.max

    @property
    def low(self) -> Money:
        """The least amount that is just under it."""
        return Money(-(-self.value.minor * NEAR_PERCENT // 100))

    def near(self, amount: Money, on: date) -> bool:
        """Whether an amount of a day is just under it. Exactly the limit still passes without a second word, so it is."""
        return self.since <= on < self.until and self.low <= amount <= self.value and bool(self.value)


@dataclass(frozen=True, slots=True)
class Look:
    """One thing worth a second look. ``people`` are the keys of those it concerns, who do not answer it themselves.

    ``key`` stays the same while the same papers are meant: one more paper makes it a new question.
    """

    kind: str
    key: str
    on: date
    sentence: str
    asks: str
    codes: tuple[str, ...]
    people: frozenset[int]
    names: str
    amount: Money

    @property
    def what(self) -> str:
        return KINDS[self.kind]

    @property
    def text(self) -> str:
        return f"{self.sentence} {self.asks}"


def binds(limit: str, missing: bool, decides: bool) -> bool:
    """Whether a limit concerns such a paper: those for lost papers only lost ones, the treasurer's own only their papers."""
    if limit.startswith("missing"):
        return missing
    return decides if limit == "delegate_limit" else True


def serial_of(number: str) -> tuple[str, int | None]:
    """A receipt's number as series and serial: ``gp-0871`` is ``("GP-", 871)``; without figures at its end ``("", None)``."""
    found = re.fullmatch(r"(.*?)(\d{1,15})", number.strip(), re.ASCII | re.DOTALL)
    return (found[1].strip().upper(), int(found[2])) if found else ("", None)


def key_of(kind: str, codes: Iterable[str], more: str = "") -> str:
    """The kind with a digest over the papers meant, in any order."""
    names = " ".join([*sorted(codes), more])
    return f"{kind}-{hashlib.sha256(names.encode()).hexdigest()[:16]}"
