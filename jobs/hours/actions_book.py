from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.hours.models_book import ClockReason
from jobs.hours.queries_book import reason_of, to_explain
from jobs.hours.rules_book import CAUSES
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder


@transaction.atomic
def say_why(*, by: Person, repair: RepairOrder, cause: str, words: str = "") -> ClockReason:
    """Keep why a repair took longer than the book gives; the figures of the day stay beside it.

    Refuses a second reason, a cause that is none, “something else” without words, and a repair within its book. The
    hours themselves are never touched.
    """
    require(by, "repair.write")
    hold(repair)
    if before := reason_of(repair):
        raise AlreadyDone(f"{before.by.label} has said it already: {before.told}.")
    passed = to_explain(repair)
    if passed is None:
        raise NotReady(f"{repair.number} is within its book hours. There is nothing to explain.")
    if cause not in CAUSES:
        raise BadInput("Choose what it was.")
    if cause == "other" and not words.strip():
        raise BadInput("Say in a few words what it was.")
    row = ClockReason.objects.create(
        repair=repair, cause=cause, words=words.strip()[:200], clock_tenths=passed.clock, book_tenths=passed.book,
        factor_tenths=passed.factor, by=by, at=clock.now(),
    )  # fmt: skip
    record(by=by, action="hours.why", subject=repair.number, text=f"{passed.sentence} {row.told}.")
    return row
