"""What a second person sees: exceptions to a rule and appeals; and the letters that went out."""

from django.conf import settings
from django.db import models

from fund.money import MoneyField
from fund.sealed_fields import SealedTextField


class RuleException(models.Model):
    """Somebody asks that a rule give way for one request, with the reason. Counts once a second person agrees.

    ``up_to`` is the cost of the repair up to which a rule about cost gives way; None for the other rules.
    """

    application = models.ForeignKey("jobs.Application", on_delete=models.PROTECT, related_name="exceptions")
    rule = models.CharField(max_length=20)
    reason = SealedTextField()
    up_to = MoneyField(null=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_on = models.DateField()
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    answered_on = models.DateField(null=True)
    agreed = models.BooleanField(null=True)
    answer_words = SealedTextField(blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(answered_by=None) | ~models.Q(answered_by=models.F("asked_by")),
                name="jobs_ruleexception_second_person",
            ),
            models.CheckConstraint(
                condition=models.Q(answered_by=None, agreed=None, answered_on=None)
                | models.Q(answered_by__isnull=False, agreed__isnull=False, answered_on__isnull=False),
                name="jobs_ruleexception_whole_answer",
            ),
            models.UniqueConstraint(
                fields=["application", "rule"],
                condition=models.Q(agreed=None),
                name="jobs_ruleexception_one_open",
            ),
        ]


class Appeal(models.Model):
    """The household asks that a decision be looked at again. Someone other than who decided does it."""

    against = models.OneToOneField(
        "jobs.EligibilityDecision", on_delete=models.PROTECT, related_name="appealed"
    )
    words = SealedTextField()
    on = models.DateField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]


class Letter(models.Model):
    """A letter on a decision as it went out, word for word. Its text is sealed; the row is never changed (trigger)."""

    decision = models.ForeignKey("jobs.EligibilityDecision", on_delete=models.PROTECT, related_name="letters")
    language = models.CharField(max_length=8)
    text = SealedTextField()
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
