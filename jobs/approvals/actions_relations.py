"""Asking everyone in the chain, each time anew, whether the household is tied to them."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import may, require
from fund.access.models import Person
from fund.refusal import BadInput
from fund.trail.actions import record
from jobs.approvals.models import ApprovalRelation
from jobs.repairs.models import RepairOrder


@transaction.atomic
def ask_relation(
    *, by: Person, repair: RepairOrder, person: Person, on: date | None = None
) -> ApprovalRelation:
    """Put the question to someone in the chain. Asking again changes nothing."""
    if not may(by, "repair.approve"):
        require(by, "repair.write")
    row, new = ApprovalRelation.objects.get_or_create(
        repair=repair, person=person, defaults={"asked_on": on or clock.today()}
    )
    if new:
        text = f"{person.label} was asked about a tie to the household of {repair.number}."
        record(by=by, action="relation.ask", subject=repair.number, text=text)
    return row


@transaction.atomic
def answer_relation(
    *, by: Person, repair: RepairOrder, tie: bool, words: str = "", on: date | None = None
) -> ApprovalRelation:
    """One's own answer, for this repair. A tie needs a few words; once named it can't be taken back here."""
    require(by, "repair.see")
    on = on or clock.today()
    if tie and not words.strip():
        raise BadInput("Say in a few words what the tie is, such as “my cousin” or “a neighbor”.")
    row, _ = ApprovalRelation.objects.get_or_create(repair=repair, person=by, defaults={"asked_on": on})
    if row.tie and not tie:
        raise BadInput(
            "You named a tie on this repair before. If that was a mistake, ask an owner to note it."
        )
    if (row.tie, row.words) == (tie, words.strip()):
        return row
    row.tie, row.words, row.on = tie, words.strip(), on
    row.save()
    text = f"{by.label}: {'a tie' if tie else 'no tie'} to the household of {repair.number}."
    record(by=by, action="relation.answer", subject=repair.number, text=text)
    return row


def people_to_ask(repair: RepairOrder) -> list[Person]:
    """Those who opened, priced and repair it, without an answer yet. The screener answered when deciding."""
    answered = set(repair.relations.filter(tie__isnull=False).values_list("person", flat=True))
    people = {p.pk: p for p in (repair.opened_by, repair.estimate_by, repair.mechanic) if p is not None}
    return [person for pk, person in people.items() if pk not in answered]
