from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.money import MoneyField
from jobs.hours.rules import WORK_LABELS, hours_text


class Skill(models.Model):
    """What a person did. Only skilled work has a value; helping hands are counted in hours alone."""

    code = models.CharField(max_length=20, primary_key=True)
    name = models.CharField(max_length=60, unique=True)
    skilled = models.BooleanField()

    class Meta:
        ordering = ["-skilled", "name"]

    def __str__(self) -> str:
        return self.name


class Rate(models.Model):
    """What an hour of a skill is worth from a day on, and on what ground. Append-only; the newest wins."""

    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, related_name="rates")
    amount = MoneyField()
    basis = models.CharField(max_length=120)
    source = models.CharField(max_length=200)
    valid_from = models.DateField()

    class Meta:
        ordering = ["skill", "-valid_from", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="jobs_rate_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.skill_id} {self.amount} from {self.valid_from}"


class HoursEntry(models.Model):
    """Donated hours of one person on one day. Append-only: a mistake is taken back by a row with minus tenths.

    ``tenths`` are tenths of an hour. ``value`` is zero for unskilled work; ``rate`` is the amount per hour
    that was used, kept as it was. ``starts`` and ``ends`` are clock times, where somebody wrote them.
    ``counted_on`` is the day in an open month the row belongs to: the day of the work, or the first open day when
    that month was closed before the hours were entered. ``needs_other``: one's own, on the repair of a household one is
    tied to, so that somebody else confirms them.
    """

    code = models.CharField(max_length=12, unique=True)
    repair = models.ForeignKey(
        "jobs.RepairOrder", null=True, blank=True, on_delete=models.PROTECT, related_name="hours"
    )
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="hours")
    on = models.DateField(db_index=True)
    counted_on = models.DateField(db_index=True)
    work = models.CharField(max_length=10, choices=WORK_LABELS)
    tenths = models.IntegerField()
    starts = models.TimeField(null=True)
    ends = models.TimeField(null=True)
    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, related_name="+")
    rate = MoneyField(null=True)
    value = MoneyField()
    note = models.CharField(max_length=200, blank=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    needs_other = models.BooleanField(default=False)
    entry = models.ForeignKey("fund.Entry", null=True, on_delete=models.PROTECT, related_name="+")
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses=None, tenths__gt=0, value__gte=0)
                | Q(reverses__isnull=False, tenths__lt=0, value__lte=0),
                name="jobs_hoursentry_sign",
            ),
            models.CheckConstraint(condition=Q(counted_on__gte=F("on")), name="jobs_hoursentry_counted_on"),
            models.CheckConstraint(
                condition=Q(repair__isnull=False) | Q(work="office"), name="jobs_hoursentry_repair"
            ),
            models.CheckConstraint(
                condition=Q(starts=None, ends=None) | Q(ends__gt=F("starts")), name="jobs_hoursentry_times"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.hours} h"

    @property
    def hours(self) -> str:
        return hours_text(self.tenths)

    @property
    def taken_back(self) -> bool:
        """Whether the row and its opposite cancel out (needs ``select_related("reversed_by")``)."""
        return self.reverses_id is not None or hasattr(self, "reversed_by")

    @property
    def confirmed(self) -> bool:
        """True for one's own hours, and for others' (or those of somebody tied to the household) after a second yes."""
        own = self.entered_by_id == self.person_id and not self.needs_other
        return own or hasattr(self, "confirmation")


class HoursConfirmation(models.Model):
    """The yes of the person whose hours somebody else entered. Append-only."""

    hours = models.OneToOneField(HoursEntry, on_delete=models.PROTECT, related_name="confirmation")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
