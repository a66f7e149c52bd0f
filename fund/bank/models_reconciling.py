from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.attachments.models import Attachment
from fund.money import MoneyField


class Reconciliation(models.Model):
    """A month's bank reconciliation as it was prepared: it came to 0.00. Append-only; the latest of a month counts.

    ``snapshot`` holds every figure and item of the statement of reconciliation, in minor units.
    """

    account = models.ForeignKey("fund.BankAccount", on_delete=models.PROTECT, related_name="reconciliations")
    month = models.CharField(max_length=7, db_index=True)
    statement_balance = MoneyField()
    book_balance = MoneyField()
    snapshot = models.JSONField()
    prepared_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    prepared_at = models.DateTimeField()

    class Meta:
        ordering = ["-month", "-id"]

    def __str__(self) -> str:
        return f"Bank reconciliation {self.month}"


class ReconciliationReview(models.Model):
    """A second person's look at a reconciliation, with the PDF as signed. Append-only.

    ``prepared_by`` stands here too, so that the database itself refuses one person doing both.
    """

    reconciliation = models.OneToOneField(Reconciliation, on_delete=models.PROTECT, related_name="review")
    prepared_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reviewed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reviewed_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    pdf = models.ForeignKey(Attachment, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(prepared_by=F("reviewed_by")), name="reconciliation_two_people"
            )
        ]


class PlatformBalance(models.Model):
    """What a platform itself says it still holds at the end of a month. Append-only; the latest of a month counts."""

    TYPED, IMPORTED = "typed", "imported"

    platform = models.ForeignKey("fund.Platform", on_delete=models.PROTECT, related_name="balances")
    month = models.CharField(max_length=7, db_index=True)
    amount = MoneyField()
    origin = models.CharField(max_length=8, choices=[(TYPED, "typed"), (IMPORTED, "imported")])
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-month", "platform", "-id"]
