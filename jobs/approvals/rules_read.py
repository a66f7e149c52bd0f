"""What stood on the page from which a decision is made: a yes counts for that and for nothing else."""

from collections.abc import Iterable

from fund.as_read import mark
from fund.commitments.rules import Overrun

CHANGED = "The estimate changed since you opened this page. Read it again, then decide."
SPENT = "What is approved or spent changed since you opened this page. Read it again, then decide."


def mark_of_overruns(rows: Iterable[Overrun]) -> str:
    """The fingerprint of what costs run over their limits. Empty rows have one too."""
    facts: list[str | int] = []
    for row in rows:
        now = row.allowance
        facts += [row.cost_object, row.cost.minor, now.promised.minor, now.tolerance.minor, now.spent.minor]
    return mark(*facts)
