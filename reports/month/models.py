from django.conf import settings
from django.db import models


class PublishedMonth(models.Model):
    """A month as it was published: the record's canonical text and its digest. Append-only (database trigger).

    ``digest`` is the SHA-256 of the record's bytes; the record itself carries ``prev_digest``, the digest of the
    month published before it (empty for the first).
    """

    month = models.CharField(max_length=7)
    version = models.PositiveSmallIntegerField(default=1)
    record = models.TextField()
    digest = models.CharField(max_length=64, unique=True)
    prev_digest = models.CharField(max_length=64, blank=True, unique=True)
    prepared_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reviewed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    same_person_reason = models.CharField(max_length=200, blank=True)
    published_at = models.DateTimeField()

    class Meta:
        ordering = ["-month", "-version"]
        constraints = [models.UniqueConstraint(fields=["month", "version"], name="published_month_once")]

    def __str__(self) -> str:
        return self.month


class PublishedFile(models.Model):
    """One file of a published month, byte for byte as anyone can download it. Append-only (database trigger)."""

    published = models.ForeignKey(PublishedMonth, on_delete=models.PROTECT, related_name="files")
    name = models.CharField(max_length=60)
    content_type = models.CharField(max_length=60)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["published", "name"], name="published_file_once")]

    def __str__(self) -> str:
        return self.name


class PublicWording(models.Model):
    """How a repair is told in public, where the shop's own words will not do. The newest row of a repair counts."""

    repair = models.CharField(max_length=20, db_index=True)
    text = models.CharField(max_length=400)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.repair}: {self.text}"
