"""What other rooms ask about typical jobs.

``job_type_of(repair)`` gives the :class:`~jobs.estimates.models_types.JobType` chosen for a repair order, or None.
Its fields: ``code``, ``name``, ``book_from`` and ``book_to`` (tenths of an hour, may be None), ``complaint``, ``cause``
(usual ones, in words), ``verify`` (list of sentences: what a second person verifies after), ``cautions`` (list of
sentences: what can hurt), ``care`` (list of sentences for the household), ``reminders`` (list of
``{"days": int, "text": str}``, days after the hand-back), ``source`` ("common practice" for the list a fund begins
with), ``active``; ``lines`` are the usual lines. They may be changed by the crew at any time: whoever signs something
keeps a copy of the words that were signed.
"""

from django.db.models import Count, QuerySet

from jobs.estimates.models_types import JobType
from jobs.repairs.models import RepairOrder


def job_type_of(repair: RepairOrder) -> JobType | None:
    """The typical job chosen for a repair order, or None. At most one query, none when it was read along."""
    return repair.typical_job


def job_types() -> QuerySet[JobType]:
    """Those to choose from, by name."""
    return JobType.objects.filter(active=True)


def all_job_types() -> QuerySet[JobType]:
    """The crew's whole list, with ``used``: on how many repair orders each was chosen."""
    return JobType.objects.annotate(used=Count("repairs"))
