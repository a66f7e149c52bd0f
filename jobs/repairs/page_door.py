"""What the page of a repair order shows of its coming in, its owner's yes and what can hurt."""

from typing import Any

from jobs.estimates.queries_owner import last_owner_yes, present_round
from jobs.estimates.queries_types import job_type_of
from jobs.estimates.rules import Kind
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.repairs.rules_safety import MAKER_FIRST, cautions_for
from jobs.vehicles.outline import zone_words
from jobs.vehicles.queries_checkin import check_in_of, photos_of
from jobs.vehicles.queries_desk import last_lookup, standing_since
from jobs.vehicles.rules_checkin import QUESTIONS, unsafe_sentences

AT_WORK = (State.APPROVED, State.IN_WORK)
BOUGHT = (Kind.PART, Kind.FLUID, Kind.OUTSIDE)


def door_facts(repair: RepairOrder) -> dict[str, Any]:
    """Four queries."""
    check_in, yes, job = check_in_of(repair), last_owner_yes(repair), job_type_of(repair)
    told = yes is not None and yes.cause == repair.cause and yes.round >= present_round(repair)
    lookup = last_lookup(repair)
    return {
        "check_in": check_in,
        "unsafe": unsafe_sentences(check_in.unsafe, check_in.unsafe_words) if check_in else [],
        "lookup": lookup,
        "recall_covers": lookup is not None and lookup.found == "covers",
        "owner_yes": yes,
        "ask_owner": not told and not repair.ended and repair.estimated_on is not None,
        "standing_since": standing_since(repair),
        "job": job,
        "cautions": cautions_for(job.cautions if job else []) if repair.state in AT_WORK else [],
        "maker_first": MAKER_FIRST,
    }


def work_sheet(repair: RepairOrder) -> dict[str, Any]:
    """What a mechanic takes along on paper."""
    facts = door_facts(repair)
    check_in, job = facts["check_in"], facts["job"]
    return {
        **facts,
        "repair": repair,
        "cautions": cautions_for(job.cautions if job else []),
        "verify": job.verify if job else [],
        "marked": zone_words(check_in.zones) if check_in else [],
        "told": [(QUESTIONS[key], words) for key, words in check_in.told.items()] if check_in else [],
        "photos": photos_of(repair).count(),
        "lines": repair.estimate_lines.filter(kind__in=BOUGHT),
        "findings": repair.findings.filter(decision="approve"),
    }
