"""Two records that were found to be one household, and how that was taken back."""

from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField


class Merging(models.Model):
    """``other`` was found to be the same household as ``kept``. Never changed (trigger).

    ``moved`` lists what went over, by kind and primary key, so that it can go back.
    """

    kept = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="+")
    other = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="mergings")
    reasons = models.JSONField()
    reason = SealedTextField()
    moved = models.JSONField()
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]


class Unmerging(models.Model):
    """A merging that was taken back, and why. Never changed (trigger)."""

    merging = models.OneToOneField(Merging, on_delete=models.PROTECT, related_name="taken_back")
    reason = SealedTextField()
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
