from django.conf import settings
from django.db import models

from jobs.hours.rules_book import CAUSES, words_of


class ClockReason(models.Model):
    """Why a repair took longer by the clock than by the book, in the mechanic's words. Append-only, one a repair.

    Clock and book in tenths of an hour as they were that day; ``factor`` in tenths, from where on it was asked.
    """

    repair = models.OneToOneField("jobs.RepairOrder", on_delete=models.PROTECT, related_name="clock_reason")
    cause = models.CharField(max_length=10, choices=list(CAUSES.items()))
    words = models.CharField(max_length=200, blank=True)
    clock_tenths = models.PositiveIntegerField()
    book_tenths = models.PositiveIntegerField()
    factor_tenths = models.PositiveSmallIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.repair_id}: {self.cause}"

    @property
    def told(self) -> str:
        return words_of(self.cause, self.words)
