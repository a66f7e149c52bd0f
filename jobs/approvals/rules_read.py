"""What stood on the page from which a decision is made: a yes counts for that and for nothing else."""

import hashlib
import json
from collections.abc import Iterable

from fund.commitments.rules import Overrun
from fund.refusal import NotReady

CHANGED = "The estimate changed since you opened this page. Read it again, then decide."
SPENT = "What is approved or spent changed since you opened this page. Read it again, then decide."


def mark(*facts: str | int) -> str:
    """A short fingerprint of facts in their order."""
    return hashlib.sha256(json.dumps(facts, ensure_ascii=False).encode()).hexdigest()[:32]


def mark_of_overruns(rows: Iterable[Overrun]) -> str:
    """The fingerprint of what costs run over their limits. Empty rows have one too."""
    facts: list[str | int] = []
    for row in rows:
        now = row.allowance
        facts += [row.cost_object, row.cost.minor, now.promised.minor, now.tolerance.minor, now.spent.minor]
    return mark(*facts)


def refuse_unread(read: str | None, now: str, words: str = CHANGED) -> None:
    """Refuse a decision made from a page that shows something else. ``read`` None: it was made from no page."""
    if read is not None and read != now:
        raise NotReady(words)
