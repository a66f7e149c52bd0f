from django.conf import settings
from django.db import models


class Attachment(models.Model):
    """A photo or document kept with a record. The file lies under MEDIA_ROOT by a name of our own making."""

    code = models.CharField(max_length=12, unique=True)
    kind = models.CharField(max_length=4)  # jpeg, png or pdf: what was kept
    path = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64)  # of the kept file
    upload_sha256 = models.CharField(max_length=64, db_index=True)  # of the file as it came, to see it again
    size = models.PositiveIntegerField()  # bytes kept
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)
    likeness = models.CharField(max_length=256, blank=True)  # difference hash of a picture, hex
    name = models.CharField(max_length=80)  # as the person called it; only ever shown
    power = models.CharField(max_length=40)  # who may see it (names of access.powers)
    subject = models.CharField(max_length=60, db_index=True)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code
