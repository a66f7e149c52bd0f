from decimal import Decimal

from django.db import models

from fund.money import MoneyField
from jobs.estimates.rules import CONDITIONS, Kind

KINDS = [(kind.value, kind.value.capitalize()) for kind in Kind]


class EstimateLine(models.Model):
    """A priced line of a repair. Round 0 is the first estimate; each supplement adds a round.

    Quantity in thousandths of the unit; the amount is for the whole line, in minor units. ``other_amount`` is what
    another store asks for the same, to compare; it is never added up.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.CASCADE, related_name="estimate_lines")
    round = models.PositiveSmallIntegerField(default=0)
    ordinal = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=KINDS)
    text = models.CharField(max_length=120)
    quantity = models.PositiveIntegerField(default=1000)
    unit = models.CharField(max_length=16, blank=True)
    amount = MoneyField()
    condition = models.CharField(max_length=8, choices=[(word, word) for word in CONDITIONS], blank=True)
    store = models.CharField(max_length=60, blank=True)
    other_amount = MoneyField(null=True, blank=True)
    other_store = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["round", "ordinal"]
        constraints = [
            models.UniqueConstraint(
                fields=["repair", "round", "ordinal"], name="jobs_estimateline_one_per_place"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.text} {self.amount}"

    @property
    def count(self) -> str:
        """How many of what, such as “9 qt”; nothing for a single piece."""
        number = f"{Decimal(self.quantity).scaleb(-3).normalize():f}"
        return "" if (number, self.unit) == ("1", "") else f"{number} {self.unit or '×'}"


class SupplementRequest(models.Model):
    """Extra work asked for after the approval; its lines are the estimate lines of the same round."""

    repair = models.ForeignKey(
        "jobs.RepairOrder", on_delete=models.PROTECT, related_name="supplement_requests"
    )
    round = models.PositiveSmallIntegerField()
    asked_by = models.ForeignKey("fund.Person", on_delete=models.PROTECT, related_name="+")
    asked_on = models.DateField()
    reason = models.TextField()
    answer = models.CharField(max_length=8, blank=True)  # "", "yes" or "no"

    class Meta:
        ordering = ["round"]
        constraints = [
            models.UniqueConstraint(fields=["repair", "round"], name="jobs_supplementrequest_one_per_round"),
            models.UniqueConstraint(
                fields=["repair"], condition=models.Q(answer=""), name="jobs_supplementrequest_one_open"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.repair_id} supplement {self.round}"
