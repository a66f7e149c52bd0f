"""What binds the crew on one repair: consents of a day, and the conditions of the decision."""

from datetime import date

from fund import clock
from jobs.eligibility.queries import latest_decision
from jobs.eligibility.rules_exceptions import CONDITIONS
from jobs.households.queries_consent import consents_on
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules_bounds import Bounds


def bounds_of(repair: RepairOrder, on: date | None = None) -> Bounds:
    """The consents as they stand on a day, and what the latest decision is tied to. Three queries.

    A consent that was never asked for binds as one that was not given.
    """
    given = consents_on(repair.application, on or clock.today())
    decision = latest_decision(repair.application)
    conditions = tuple((decision.snapshot or {}).get("conditions", ())) if decision else ()
    no_road = CONDITIONS["insurance"]
    return Bounds(
        conditions=conditions,
        work=given.get("work", False),
        road=given.get("road test", False),
        no_road_condition=no_road if no_road in conditions else "",
    )
