"""The rules as they stand for a request whose repair is priced: what it costs is known then."""

from datetime import date

from django.db.models import Q

from fund.commitments.queries import allowance
from fund.money import Money
from jobs.eligibility.queries_rules import rules_applied
from jobs.eligibility.rules_facts import Finding
from jobs.estimates.queries import lines_of, open_request
from jobs.estimates.rules import add_up
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State


def rules_now(application: Application, on: date | None = None) -> list[Finding]:
    """Every rule for a request; with the cost of its repair where one waits for the yes of whoever approves."""
    cost, repair = priced(application)
    return rules_applied(application, on, cost=cost, repair=repair)


def priced(application: Application) -> tuple[Money | None, RepairOrder | None]:
    """The repair that waits for the yes of whoever approves and its whole cost, with what was approved before."""
    waiting = application.repairs.filter(
        Q(state=State.ESTIMATED) | Q(supplement_requests__answer=""), comeback=None
    )
    repair = waiting.order_by("-pk").first()
    if repair is None:
        return None, None
    further = open_request(repair) if repair.promised else None
    cost = add_up(lines_of(repair, further.round if further else 0)).cost
    before = allowance(repair.number).promised if repair.promised else None
    return (cost + before if before else cost), repair
