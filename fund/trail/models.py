from django.conf import settings
from django.db import models


class TrailLine(models.Model):
    """Who did what to what, when. Append-only: the database refuses changes."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    action = models.CharField(max_length=40, db_index=True)
    subject = models.CharField(max_length=60, db_index=True)
    text = models.CharField(max_length=400)
    data = models.JSONField(default=dict)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return self.text
