from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField
from jobs.vehicles.rules_desk import FOUND, WAYS

PERSON = settings.AUTH_USER_MODEL


class RecallLookup(models.Model):
    """Open safety recalls of a vehicle as they stood on a day. Append-only; a later look adds a row."""

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="recall_lookups")
    on = models.DateField()
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    where = models.CharField("looked up at", max_length=120)
    found = models.CharField(max_length=16, choices=list(FOUND.items()))
    words = models.TextField("what was found", blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.repair_id} recalls {self.on} {self.found}"


class OwnerNotice(models.Model):
    """A word to an owner who does not fetch the vehicle, and what came of it. Append-only but for the sealed words."""

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="owner_notices")
    on = models.DateField()
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    way = models.CharField("how", max_length=16, choices=list(WAYS.items()))
    words = SealedTextField("what was said or written")
    answer = SealedTextField("what came back", blank=True)
    standing_days = models.PositiveIntegerField("days it had stood")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.repair_id} notice {self.on}"
