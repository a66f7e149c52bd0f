"""What the check-in's page and the repair order ask. ``check_in_of(repair)`` is the one other rooms call."""

import json
from collections.abc import Mapping
from typing import Any

from django.db.models import QuerySet

from fund.as_read import mark
from jobs.repairs.models import RepairOrder
from jobs.vehicles.models_checkin import CheckIn, CheckInDraft, VehiclePhoto


def check_in_of(repair: RepairOrder) -> CheckIn | None:
    """The finished check-in of a repair order, or None. One query."""
    return CheckIn.objects.filter(repair=repair).select_related("by").first()


def draft_of(repair: RepairOrder) -> dict[str, Any]:
    """What was typed so far; empty when nothing was kept."""
    draft = CheckInDraft.objects.filter(repair=repair).first()
    return dict(draft.typed) if draft else {}


def draft_mark(typed: Mapping[str, Any]) -> str:
    """Of a draft as it is kept, whoever typed it; that of an empty one where nothing is kept."""
    return mark(json.dumps(typed, sort_keys=True))


def photos_of(repair: RepairOrder) -> QuerySet[VehiclePhoto]:
    """Photos of a repair that are still there, the first one first."""
    return repair.photos.filter(gone_on=None).select_related("attachment", "by")
