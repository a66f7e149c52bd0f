"""The second person's check list."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput, NotReady, TwoPeopleNeeded
from fund.trail.actions import record
from jobs.handback.models_proof import CheckList
from jobs.handback.queries import did_the_work
from jobs.handback.queries_proof import lines_asked
from jobs.handback.rules_proof import Answer, CheckLine, unanswered
from jobs.hours.rules import day
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.repairs.ties import refuse_tied_hand


@transaction.atomic
def record_check_list(*, by: Person, repair: RepairOrder, on: date, lines: Sequence[CheckLine]) -> CheckList:
    """A second person's look over the work, line by line, before the vehicle goes back.

    ``lines`` answer what ``queries_proof.lines_asked`` asks; a “no” is kept too, and the vehicle stays. Refuses a line
    without an answer, a “no” or “does not apply” without why, whoever did the work, and
    whoever is tied to the household.
    """
    require(by, "roadtest.record")
    hold(repair)
    refuse_tied_hand(by, repair, "goes through the check list")
    if repair.state not in (State.IN_WORK, State.TESTED):
        raise NotReady(f"{repair.number} is {repair.state}. The check list comes after the work has begun.")
    if on > clock.today():
        raise BadInput(f"{day(on)} has not come yet.")
    if repair.started_on and on < repair.started_on:
        raise BadInput(f"Work began on {day(repair.started_on)}; the check list comes after it.")
    if by.pk in did_the_work(repair):
        raise TwoPeopleNeeded("You did the work, so somebody else goes through the check list.")
    asked = lines_asked(repair)
    open_lines = unanswered(asked, lines)
    if open_lines:
        raise BadInput("The check list is not whole.", open_lines)
    said = {line.text: line for line in lines}
    kept = [
        {"text": text, "answer": str(said[text].answer), "note": said[text].note.strip()} for text in asked
    ]
    job = repair.typical_job.name if repair.typical_job else "any vehicle"
    row = CheckList.objects.create(
        repair=repair, on=on, job_type=job, lines=kept, by=by, at=clock.now(),
        whole=all(line["answer"] != Answer.NO for line in kept),
    )  # fmt: skip
    how = "all well" if row.whole else "; ".join(row.against)
    record(by=by, action="checklist.record", subject=repair.number, text=f"Check list of {day(on)}: {how}")
    return row
