from django.conf import settings
from django.db import models

from fund.sealed_fields import SealedTextField
from jobs.households.rules_keep import DONE, SHOWED


class Hold(models.Model):
    """While it stands nothing of a household is destroyed: an investigation, a dispute, a claim."""

    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="holds")
    reason = SealedTextField()
    set_on = models.DateField()
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    lifted_on = models.DateField(null=True)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["household"], condition=models.Q(lifted_on=None), name="jobs_hold_one_at_a_time"
            ),
        ]


class Destruction(models.Model):
    """One line of the destruction log: what was destroyed of whom, by which rule. Never changed (trigger).

    ``counts`` says how many rows or files of each kind. No value that was destroyed stays here.
    """

    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="destructions")
    kept_class = models.CharField("what", max_length=20)
    due_on = models.DateField("was due on")
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    rule = models.CharField(max_length=200)
    counts = models.JSONField()

    class Meta:
        ordering = ["pk"]


class ConsentChange(models.Model):
    """A yes that was taken back or given again after the request. Never changed (trigger).

    ``by`` is None where the household did it itself, by its private link.
    """

    application = models.ForeignKey(
        "jobs.Application", on_delete=models.PROTECT, related_name="consent_changes"
    )
    key = models.CharField(max_length=12)
    given = models.BooleanField()
    words = SealedTextField(blank=True)
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]


class PutRight(models.Model):
    """Something of a household that went out and should not have, and what was done about it. Never changed (trigger).

    The books and the record of the month know nothing of it: they hold no picture and no name.
    """

    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="put_right")
    showed = models.CharField(max_length=12)
    where = SealedTextField()
    done = models.CharField(max_length=12)
    words = SealedTextField(blank=True)
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]

    @property
    def showed_words(self) -> str:
        return SHOWED.get(self.showed, self.showed)

    @property
    def done_words(self) -> str:
        return DONE.get(self.done, self.done)
