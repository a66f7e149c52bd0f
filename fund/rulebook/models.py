from django.conf import settings
from django.db import models


class DatedRule(models.Model):
    """One value of one rule from a day on. Append-only; the newest row for a day wins."""

    name = models.CharField(max_length=40, db_index=True)
    value = models.CharField(max_length=200)
    valid_from = models.DateField()
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    set_at = models.DateTimeField()
    reason = models.CharField(max_length=400)

    class Meta:
        ordering = ["name", "-valid_from", "-id"]

    def __str__(self) -> str:
        return f"{self.name} = {self.value} from {self.valid_from}"
