"""What else was seen while in there, and what somebody said to it."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import may, require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.repairs.lock import hold
from jobs.repairs.models import DECISIONS, Finding, RepairOrder
from jobs.repairs.ties import refuse_tied_hand


@transaction.atomic
def add_finding(*, by: Person, repair: RepairOrder, text: str, on: date | None = None) -> Finding:
    """Note a further fault. It costs nothing and promises nothing by itself."""
    require(by, "repair.write")
    if hold(repair).ended:
        raise NotReady(f"{repair.number} is {repair.state}. A new fault is a new request for help.")
    if not text.strip():
        raise BadInput("Write what you found.")
    finding = Finding.objects.create(
        repair=repair, text=text.strip(), found_by=by, found_on=on or clock.today()
    )
    record(by=by, action="repair.finding", subject=repair.number, text=f"Found: {finding.text}")
    return finding


@transaction.atomic
def decide_finding(*, by: Person, finding: Finding, decision: str, on: date | None = None) -> Finding:
    """Do it, leave it, or later. Extra money still needs a supplement. Refuses the finder's own yes."""
    if not may(by, "repair.approve"):
        require(by, "repair.write")
    words = dict(DECISIONS).get(decision)
    if words is None:
        raise BadInput("Choose: do it, leave it, or later.")
    finding = (
        Finding.objects.select_for_update(of=("self",)).select_related("repair__household").get(pk=finding.pk)
    )
    if finding.decision in ("approve", "decline"):
        raise AlreadyDone("This finding is already decided. Add a new one if something changed.")
    refuse_tied_hand(by, finding.repair, "decides on what was found")
    if decision == "approve":
        require(by, "repair.approve")
        if finding.found_by_id == by.pk:
            raise NotReady("You found it yourself, so someone else has to say yes.")
    finding.decision, finding.decided_by, finding.decided_on = decision, by, on or clock.today()
    finding.save()
    number = finding.repair.number
    record(by=by, action="repair.finding", subject=number, text=f"{words.capitalize()}: {finding.text}")
    return finding
