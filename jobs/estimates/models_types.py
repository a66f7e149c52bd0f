"""The crew's own list of typical jobs."""

from decimal import Decimal

from django.db import models

from fund.money import MoneyField
from jobs.estimates.models import KINDS
from jobs.estimates.rules import CONDITIONS


class JobType(models.Model):
    """A kind of job the crew does often: what it usually takes, what can hurt, what a second person verifies.

    Book hours are a range in tenths, for information. ``verify``, ``cautions`` and ``care`` are lists of sentences;
    ``reminders`` is a list of ``{"days": int, "text": str}``, counted from the hand-back. The list a fund begins
    with is common practice; the maker's procedure comes before all of it.
    """

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=60, unique=True)
    book_from = models.PositiveSmallIntegerField("book hours from, in tenths", null=True, blank=True)
    book_to = models.PositiveSmallIntegerField("book hours to, in tenths", null=True, blank=True)
    complaint = models.CharField("usual complaint", max_length=200, blank=True)
    cause = models.CharField("usual cause", max_length=200, blank=True)
    verify = models.JSONField("what a second person verifies after", default=list)
    cautions = models.JSONField(default=list)
    care = models.JSONField("what the household is told to watch", default=list)
    reminders = models.JSONField(default=list)
    source = models.CharField(max_length=120)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class JobTypeLine(models.Model):
    """A line such a job usually has, with the usual price range for the whole line before tax (minor units)."""

    job_type = models.ForeignKey(JobType, on_delete=models.CASCADE, related_name="lines")
    ordinal = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=KINDS)
    text = models.CharField(max_length=120)
    quantity = models.PositiveIntegerField(default=1000)
    unit = models.CharField(max_length=16, blank=True)
    condition = models.CharField(max_length=8, choices=[(word, word) for word in CONDITIONS], blank=True)
    low = MoneyField(null=True, blank=True)
    high = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["job_type", "ordinal"], name="jobs_jobtypeline_one_per_place"),
        ]

    def __str__(self) -> str:
        return self.text

    @property
    def usual(self) -> str:
        """The usual range in words, such as “95.00 to 520.00”; empty when nobody wrote one."""
        if self.low is None and self.high is None:
            return ""
        if self.low is None or self.high is None or self.low == self.high:
            return str(self.high if self.low is None else self.low)
        return f"{self.low} to {self.high}"

    @property
    def count(self) -> str:
        number = f"{Decimal(self.quantity).scaleb(-3).normalize():f}"
        return "" if (number, self.unit) == ("1", "") else f"{number} {self.unit or '×'}"
