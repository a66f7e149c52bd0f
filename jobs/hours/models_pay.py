from django.conf import settings
from django.db import models
from django.db.models import Q


class PayDecision(models.Model):
    """A volunteer asked to be paid, and what an owner said. Append-only; the newest holds.

    Refused, or a contractor from a day on: from then on their work is a bill and no gift. What was given before that
    day stays a gift.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="pay_decisions"
    )
    answer = models.CharField(
        max_length=10, choices=[("refused", "Refused"), ("contractor", "Contractor from a day on")]
    )
    from_on = models.DateField(null=True)
    conflict = models.CharField(max_length=300, blank=True)
    tax_form_on = models.DateField(null=True)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answer="refused", from_on=None)
                | Q(answer="contractor", from_on__isnull=False, tax_form_on__isnull=False),
                name="jobs_paydecision_from",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.answer}"
