from django.db.models import OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce

from jobs.estimates.models_types import JobType
from jobs.estimates.rules_past import Past, PastJob
from jobs.hours.models import HoursEntry
from jobs.hours.rules_book import words_of
from jobs.repairs.queries import repairs
from jobs.repairs.rules import State

LAST = 10
WANTED = ("number", "estimate", "cost", "clock", "book_hours", "clock_reason__cause", "clock_reason__words")


def past_of(job_type: JobType) -> Past:
    """The last ten repairs of a kind that were handed back. One query."""
    worked = HoursEntry.objects.filter(repair=OuterRef("pk")).order_by().values("repair")
    clock = Coalesce(Subquery(worked.annotate(sum=Sum("tenths")).values("sum")), 0)
    rows = repairs().filter(typical_job=job_type, state=State.HANDED_BACK).annotate(clock=clock)
    figures = rows.values_list(*WANTED)
    return Past(
        tuple(
            PastJob(number, estimate, cost, clock, book, cause or "", words_of(cause, words) if cause else "")
            for number, estimate, cost, clock, book, cause, words in figures[:LAST]
        )
    )
