from django.db.models import QuerySet

from fund.trail.models import TrailLine


def lines() -> QuerySet[TrailLine]:
    """The whole trail, latest first, with the name of who did it."""
    return TrailLine.objects.select_related("by")


def about(subject: str) -> QuerySet[TrailLine]:
    """What was done to one thing (``RO-0007``), oldest first."""
    return lines().filter(subject=subject).order_by("id")
