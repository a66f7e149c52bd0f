from django.conf import settings
from django.db import models


class SentForm(models.Model):
    """A form that was sent and did its work: where it led, what was said there, and a digest of what it held.

    `token` came with the form, `held` is a SHA-256 (hex) without passwords. Kept for a while, then dropped.
    """

    token = models.CharField(max_length=32)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(db_index=True)
    held = models.CharField(max_length=64)
    led_to = models.CharField(max_length=300, blank=True)
    words = models.CharField(max_length=500, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["by", "token"], name="form_sent_once")]

    def __str__(self) -> str:
        return self.led_to
