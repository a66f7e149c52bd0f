from django.conf import settings
from django.db import models

from fund.gifts.rules_watch import EXCEPTIONS


class GiftException(models.Model):
    """Something about a gift or a count that a second look is owed to. Kept with how it was resolved."""

    code = models.CharField(max_length=12, unique=True)
    kind = models.CharField(max_length=20, choices=list(EXCEPTIONS.items()))
    on = models.DateField(db_index=True)
    text = models.CharField(max_length=300)
    gifts = models.ManyToManyField("fund.Gift", related_name="exceptions")
    count = models.ForeignKey(
        "fund.CashCount", null=True, on_delete=models.PROTECT, related_name="exceptions"
    )
    resolved_on = models.DateField(null=True)
    resolved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    resolution = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return self.code
