from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField


class OutOfTurn(models.Model):
    """A request that was taken before others that came first in the stated order, and why. Never changed (trigger).

    ``order`` is the whole order of that day: ``weights``, and ``rows`` of code, points and reasons. Codes only.
    """

    application = models.OneToOneField(
        "jobs.Application", on_delete=models.PROTECT, related_name="out_of_turn"
    )
    place = models.PositiveIntegerField()
    reason = SealedTextField()
    order = models.JSONField()
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
