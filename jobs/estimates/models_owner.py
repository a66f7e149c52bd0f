from django.conf import settings
from django.db import models

from fund.money import MoneyField
from fund.sealed_fields import SealedTextField

HOW = [("signed", "Signed here"), ("in person", "Said in person"), ("phone", "Said by phone")]


class OwnerYes(models.Model):
    """The vehicle's owner agrees to the work: free of charge does not mean without being asked. Append-only.

    ``round`` is 0 for the first estimate, else the supplement's; ``cause`` a copy of what was told. ``cost`` is what
    the fund would spend, in minor units; the owner owes nothing.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="owner_yeses")
    round = models.PositiveSmallIntegerField(default=0)
    at = models.DateTimeField()
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(max_length=12, choices=HOW)
    name = SealedTextField("who said yes")
    called = SealedTextField("number called", blank=True)
    cause = models.TextField()
    cost = MoneyField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.repair_id} owner agreed {self.on}"
