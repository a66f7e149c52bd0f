from django.db.models import Max, QuerySet

from jobs.estimates.models import EstimateLine
from jobs.estimates.models_owner import OwnerYes
from jobs.repairs.models import RepairOrder


def present_round(repair: RepairOrder) -> int:
    """The newest round of the estimate that nobody said no to: 0, or that of the latest supplement."""
    found: int | None = repair.supplement_requests.exclude(answer="no").aggregate(last=Max("round"))["last"]
    return found or 0


def last_owner_yes(repair: RepairOrder) -> OwnerYes | None:
    return repair.owner_yeses.select_related("by").last()


def owner_agreed(repair: RepairOrder) -> bool:
    """Whether the owner said yes to the cause as it stands and to the newest supplement. Two queries."""
    row = last_owner_yes(repair)
    return row is not None and row.cause == repair.cause and row.round >= present_round(repair)


def standing_lines(repair: RepairOrder) -> QuerySet[EstimateLine]:
    """The lines of the first estimate and of every supplement that nobody said no to."""
    declined = repair.supplement_requests.filter(answer="no").values("round")
    return repair.estimate_lines.exclude(round__in=declined)
