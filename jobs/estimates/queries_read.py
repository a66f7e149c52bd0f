"""What stood on the page on which an estimate is written: it is written anew only over what was read."""

from fund.as_read import mark, refuse_unread
from jobs.estimates.queries import lines_of
from jobs.repairs.models import RepairOrder

CHANGED = (
    "This estimate was saved elsewhere since you opened the page. What is saved now stands below. Bring what you typed into "
    "line with it, then save: what you save takes its place."
)


def estimate_mark(repair: RepairOrder) -> str:
    """Of the typical job and every line as saved now. One query."""
    names = (
        "kind", "text", "quantity", "unit", "condition", "store", "other_store",
    )  # fmt: skip
    rows = [
        [*(getattr(line, name) for name in names), repr(line.amount), repr(line.other_amount)]
        for line in lines_of(repair)
    ]
    return mark(repair.typical_job_id or 0, repr(rows))


def estimate_told(repair: RepairOrder) -> list[str]:
    """The typical job and the lines as saved now, a line each. Amounts are for the whole line."""
    rows = [
        ", ".join(filter(None, [line.text, line.condition, line.count, line.amount.dollars]))
        for line in lines_of(repair)
    ]
    job = [f"Typical job: {repair.typical_job.name}"] if repair.typical_job else []
    return [*job, *(rows or ["No line is saved."])]


def refuse_older(repair: RepairOrder, read: str | None) -> None:
    """Refuse what was typed on a page that shows another estimate than the one saved now.

    For an action that holds the repair. ``read`` None: it was typed on no page.
    """
    if read is not None:
        refuse_unread(read, estimate_mark(repair), CHANGED, estimate_told(repair))


def mark_to_carry(repair: RepairOrder, read: str | None, told: bool) -> str:
    """The mark for a page that is shown again: the one it was opened with, until its reader was told what changed."""
    return estimate_mark(repair) if read is None or told else read
