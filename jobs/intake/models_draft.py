"""What the public form needs before there is a request, and the count that slows machines down."""

from django.db import models

from fund.sealed_fields import SealedJSONField


class Draft(models.Model):
    """A request in the making, or sent, behind a private link.

    The link's secret is not here, only its SHA-256; ``told`` (what was typed, page by page) is sealed and emptied
    when the request is sent. After that the row only leads from the link to the request.
    """

    secret_hash = models.CharField(max_length=64, unique=True)
    told = SealedJSONField(default=dict)
    changed_on = models.DateField(db_index=True)
    application = models.OneToOneField(
        "jobs.Application", null=True, on_delete=models.CASCADE, related_name="draft"
    )


class Pace(models.Model):
    """How often one address did one thing within a span of time. The address itself is not here.

    ``mark`` is a keyed hash that differs from span to span, so that nothing can be followed over time; the row is
    deleted when the span is over.
    """

    mark = models.CharField(max_length=64, unique=True)
    times = models.PositiveIntegerField(default=0)
    until = models.DateTimeField(db_index=True)
