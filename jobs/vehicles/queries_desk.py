from datetime import date, timedelta

from django.db.models import Count, Max, Q, QuerySet

from fund import clock
from fund.rulebook.queries import rule
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.vehicles.models_desk import RecallLookup

STOPPED = (State.DECLINED, State.CANCELLED, State.DIAGNOSED)


def last_lookup(repair: RepairOrder) -> RecallLookup | None:
    """What open recalls showed when they were last looked up, or None. One query."""
    return repair.recall_lookups.select_related("by").last()


def standing_since(repair: RepairOrder) -> date | None:
    """Since when the vehicle stands: road-tested or stopped, else since it came in. None once it was handed back."""
    if repair.state == State.HANDED_BACK:
        return None
    if repair.state == State.TESTED:
        return repair.tested_on
    return repair.stopped_on if repair.state in STOPPED else repair.opened_on


def unfetched(on: date | None = None) -> QuerySet[RepairOrder]:
    """Vehicles road-tested for longer than the rule ``unfetched_days``, with ``notices`` and ``last_notice``.

    Those of repairs that were stopped are not among them: nobody writes down that they were fetched.
    """
    day = on or clock.today()
    before = day - timedelta(days=rule("unfetched_days", day))
    return (
        RepairOrder.objects.filter(state=State.TESTED, tested_on__lte=before)
        .annotate(notices=Count("owner_notices"), last_notice=Max("owner_notices__on"))
        .order_by("tested_on")
    )


def to_write_to(on: date | None = None) -> QuerySet[RepairOrder]:
    """Those among them whose owner heard nothing for as many days."""
    day = on or clock.today()
    before = day - timedelta(days=rule("unfetched_days", day))
    return unfetched(day).filter(Q(last_notice=None) | Q(last_notice__lte=before))
