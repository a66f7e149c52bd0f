"""When work was done on a vehicle and parts were put into it, as far as the books know."""

from datetime import date, datetime, time
from typing import Any

from django.db.models import F, Q, QuerySet, Sum
from django.utils import timezone

from fund.receipts.models import ReceiptPortion, ShelfIssue
from fund.receipts.quantities import FLUID_UNITS
from jobs.handback.models import RoadTest
from jobs.handback.rules import Result
from jobs.handback.rules_moments import Deed
from jobs.hours.models import HoursEntry
from jobs.hours.queries import standing
from jobs.hours.rules import Work, day
from jobs.repairs.models import RepairOrder

ON_THE_VEHICLE = (Work.REPAIR, Work.COMEBACK)
FITTED = ("part", "comeback")


def deeds_of(repair: RepairOrder) -> list[Deed]:
    """Hours on the vehicle, and parts bought for it or taken from the shelf that did not go back. Three queries.

    Fluids are no part: their levels are read on the road test itself, and a top-up after the drive is written there.
    """
    return [*_hours(repair), *_bought(repair), *_taken(repair)]


def last_failed(repair: RepairOrder) -> RoadTest | None:
    return repair.road_tests.filter(result=Result.FAIL).order_by("-id").first()


def _hours(repair: RepairOrder) -> list[Deed]:
    rows = standing(HoursEntry.objects.filter(repair=repair, work__in=ON_THE_VEHICLE))
    found = rows.order_by("on", "id").values_list("on", "ends", "entered_at")
    return [Deed(f"Work of {day(on)}", on, _moment(on, ends, entered)) for on, ends, entered in found]


def _bought(repair: RepairOrder) -> list[Deed]:
    rows = ReceiptPortion.objects.filter(
        cost_object=repair.cost_object_id, home__in=FITTED, line__receipt__state="posted"
    ).exclude(line__unit__in=FLUID_UNITS)
    found = _kept(rows).values_list(
        "line__text", "line__receipt__on", "line__receipt__at_time", "line__receipt__entered_at"
    )
    return [
        Deed(f"{text}, bought on {day(on)}", on, _moment(on, at, entered) if at else None)
        for text, on, at, entered in found
    ]


def _taken(repair: RepairOrder) -> list[Deed]:
    rows = ShelfIssue.objects.filter(cost_object=repair.cost_object_id, home__in=FITTED)
    rows = rows.exclude(lot__unit__in=FLUID_UNITS)
    found = _kept(rows).values_list("lot__item", "on", "entry__created_at")
    return [Deed(f"{item}, off the shelf on {day(on)}", on, at) for item, on, at in found]


def _kept(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Those of which something stayed with the repair."""
    back = Sum("returns__quantity", filter=Q(returns__to__in=("store", "shelf")), default=0)
    return rows.annotate(back=back).filter(quantity__gt=F("back")).order_by("id")


def _moment(on: date, at: time | None, entered: datetime) -> datetime:
    """When it was over by the clock, but never after it was written down; without a clock time, when it was written."""
    return min(timezone.make_aware(datetime.combine(on, at)), entered) if at else entered
