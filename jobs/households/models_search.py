from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField


class SearchKey(models.Model):
    """A digest by which a household is found (see :mod:`fund.sealed`); the value itself is not here.

    ``kind`` is one of identity.REASONS or ONLY_FOR_SEARCH. Written by ``actions_search.write_keys`` only.
    """

    household = models.ForeignKey("jobs.Household", on_delete=models.CASCADE, related_name="search_keys")
    kind = models.CharField(max_length=8)
    digest = models.CharField(max_length=43)

    class Meta:
        constraints = [
            # The digest comes first: every search is "which households have one of these digests?".
            models.UniqueConstraint(fields=["digest", "household"], name="jobs_searchkey_once"),
        ]


class DifferentHouseholds(models.Model):
    """Someone looked at two households that seemed to be one and found that they are two. Never changed (trigger)."""

    first = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="+")
    second = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="+")
    reason = SealedTextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["first", "second"], name="jobs_differenthouseholds_once"),
            models.CheckConstraint(
                condition=models.Q(first__lt=models.F("second")), name="jobs_differenthouseholds_in_order"
            ),
        ]
