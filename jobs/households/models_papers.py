from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField


class PaperCopy(models.Model):
    """A copy of a sighted paper. The file lies sealed below MEDIA_ROOT under a random name until its day comes.

    ``size`` is that of the paper in bytes. After ``deleted_on`` only this row tells that there was a copy.
    """

    sighting = models.ForeignKey("jobs.Sighting", on_delete=models.CASCADE, related_name="copies")
    place = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=4)
    name = SealedTextField()
    size = models.PositiveIntegerField()
    stored_on = models.DateField()
    stored_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    delete_on = models.DateField("deleted on its day", db_index=True)
    deleted_on = models.DateField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(delete_on__gte=models.F("stored_on")), name="jobs_papercopy_day_ahead"
            ),
        ]
