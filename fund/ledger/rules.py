"""What a posting must be, and the chain of digests. Pure: no database, no clock."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from fund.ledger.chart import GENERAL
from fund.money import Money
from fund.refusal import BadInput, Unbalanced

FIRST_LINK = "0" * 64
YEARS_BEFORE_BOOKS = 10
Pots = dict[tuple[str, str], Money]
"""Signed balances (debit positive) by (account code, purpose code)."""


@dataclass(frozen=True, slots=True)
class LineDraft:
    """A line to be posted; ``amount`` is debit positive. ``document_date`` None takes the entry's."""

    account: str
    amount: Money
    purpose: str = GENERAL
    cost_object: str | None = None
    text: str = ""
    party: str = ""
    document_date: date | None = None


def dr(account: str, amount: Money, **kw: Any) -> LineDraft:
    return LineDraft(account, amount, **kw)


def cr(account: str, amount: Money, **kw: Any) -> LineDraft:
    return LineDraft(account, -amount, **kw)


@dataclass(frozen=True, slots=True)
class EntryDraft:
    """An entry to be posted. Lines of zero are dropped when it is posted.

    ``posting_date`` None lets the ledger choose: the document date, or the first open day if its month is closed.
    """

    kind: str
    document_date: date
    text: str
    lines: Sequence[LineDraft]
    source: str = ""
    posting_date: date | None = None
    reverses: int | None = None


def month_of(day: date) -> str:
    return f"{day:%Y-%m}"


def first_day(month: str) -> date:
    """The first day of ``YYYY-MM``. Refuses anything else, and years that no book is kept for (as a typed day does)."""
    try:
        if len(month) != 7 or not "1900" <= month[:4] <= "2199":
            raise ValueError
        return date.fromisoformat(f"{month}-01")
    except ValueError as error:
        raise BadInput(f"“{month}” is not a month. Write it like 2026-03.") from error


def next_month(month: str) -> str:
    return month_of(first_day(month) + timedelta(days=31))


def last_day(month: str) -> date:
    return (first_day(month) + timedelta(days=31)).replace(day=1) - timedelta(days=1)


def previous_month(month: str) -> str:
    return month_of(first_day(month) - timedelta(days=1))


def earliest_day(first_month: date | None, today: date) -> date:
    """The first day that anything booked may be dated; one before it is a slip of the pen.

    A year before the first month (its first day) of the books; in empty books ten years before this year.
    """
    if first_month is None:
        return date(today.year - YEARS_BEFORE_BOOKS, 1, 1)
    return date(first_month.year - 1, first_month.month, 1)


def too_early(draft: EntryDraft, earliest: date) -> date | None:
    """A date of an entry or of one of its lines that lies before the earliest there can be; None if none does."""
    own = (line.document_date for line in draft.lines if line.document_date is not None)
    day = min(own, default=draft.document_date)
    return next((one for one in (draft.document_date, day) if one < earliest), None)


def posted_lines(draft: EntryDraft) -> list[LineDraft]:
    """The lines that will be written. Refuses fewer than two, and any purpose whose debits and credits differ."""
    lines = [line for line in draft.lines if line.amount]
    if len(lines) < 2:
        raise Unbalanced(f"“{draft.text}” needs at least one debit and one credit.")
    sums: dict[str, Money] = defaultdict(lambda: Money.zero)
    for line in lines:
        sums[line.purpose] += line.amount
    off = {purpose: amount for purpose, amount in sums.items() if amount}
    if off:
        parts = ", ".join(f"{purpose} by {amount}" for purpose, amount in off.items())
        raise Unbalanced(f"“{draft.text}” does not balance: debits and credits differ in {parts}.")
    return lines


def digest(head: dict[str, Any], lines: Sequence[Sequence[Any]], before: str) -> str:
    """SHA-256 (hex) over canonical JSON of an entry's head, its lines in order, and the digest before it.

    Dates are ISO text, amounts whole minor units; keys sorted, no spaces, UTF-8.
    """
    content = {"before": before, "head": head, "lines": [list(line) for line in lines]}
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def unspent(purpose: str, pots: Pots) -> Money:
    """What is left of a restriction: its net assets, which equal the assets and liabilities that carry its name."""
    return Money(
        -sum(amount.minor for (code, pot), amount in pots.items() if pot == purpose and code[0] in "345")
    )
