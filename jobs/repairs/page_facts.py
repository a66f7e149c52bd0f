"""What the page of one repair order shows, gathered from the rooms around it in a constant number of queries."""

from typing import Any

from django.db.models import Q

from fund.access.models import Person
from fund.commitments.queries import allowance
from fund.commitments.queries_idle import promised
from jobs.approvals.forms import ConsumablesForm
from jobs.approvals.queries import approvals_of, approved_cause, asked_of
from jobs.approvals.queries_consumables import consumables_of
from jobs.estimates.queries import open_request
from jobs.estimates.queries_shelf import lots_for
from jobs.estimates.rules import add_up
from jobs.handback.queries import road_tests
from jobs.handback.queries_proof import comebacks
from jobs.hours.queries import hours_of_repair
from jobs.repairs.models import RepairOrder
from jobs.repairs.page_door import door_facts
from jobs.repairs.queries import actual_cost
from jobs.repairs.queries_bounds import bounds_of
from jobs.repairs.rules import ROAD, State


def repair_facts(repair: RepairOrder, person: Person) -> dict[str, Any]:
    lines = list(repair.estimate_lines.all())
    first = [line for line in lines if line.round == 0]
    asked = open_request(repair)
    approved_rounds = set(repair.supplement_requests.filter(answer="yes").values_list("round", flat=True))
    granted = allowance(repair.number)
    agreed = approved_cause(repair) if repair.promised else None
    extra = [line for line in lines if line.round in approved_rounds]
    return {
        **door_facts(repair),
        "repair": repair,
        "steps": road(repair),
        "bounds": bounds_of(repair),
        "lines": first,
        "sums": add_up(first),
        "there": [] if repair.ended else lots_for([*first, *extra]),
        "extra": extra,
        "extra_sums": add_up(extra),
        "asked": asked,
        "asked_sums": add_up(line for line in lines if asked and line.round == asked.round),
        "allowance": granted,
        "consumables": consumables_of(repair, person, granted),
        "consumables_form": ConsumablesForm(),
        "idle": next(iter(promised(cost_object=repair.number)), None),
        "actual": actual_cost(repair.number),
        "hours": hours_of_repair(repair),
        "road_tests": road_tests(repair),
        "check_lists": repair.check_lists.select_related("by"),
        "refusals": repair.unsafe_refusals.count(),
        "came_back": list(comebacks().filter(Q(repair=repair) | Q(original=repair))),
        "findings": repair.findings.select_related("found_by", "decided_by"),
        "approvals": approvals_of(repair),
        "cause_approved": agreed in (None, repair.cause),
        "approved_cause": agreed,
        "asked_me": asked_of(person).filter(pk=repair.pk).exists(),
    }


def road(repair: RepairOrder) -> list[dict[str, Any]]:
    """The steps with where it stands: past, here or to come. One that was stopped shows how it ended."""
    if repair.state not in ROAD:
        return []
    here = ROAD.index(State(repair.state))
    days = {
        State.CHECKED_IN: repair.opened_on,
        State.ESTIMATED: repair.estimated_on,
        State.APPROVED: repair.approved_on,
        State.IN_WORK: repair.started_on,
        State.TESTED: repair.tested_on,
        State.HANDED_BACK: repair.handed_back_on,
    }
    return [
        {"label": step.value, "past": at < here, "here": at == here, "on": days[step] if at <= here else None}
        for at, step in enumerate(ROAD)
    ]
