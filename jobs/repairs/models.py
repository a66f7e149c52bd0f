from django.conf import settings
from django.db import models

from jobs.repairs.rules import ENDED, PROMISED, State

STATES = [(state.value, state.value) for state in State]
DECISIONS = [("approve", "do it"), ("decline", "leave it"), ("later", "later")]


class RepairOrder(models.Model):
    """One vehicle, one visit. Alias and vehicle class are copies from the day it was opened.

    Book hours in tenths of an hour; the owner's figures are minutes and miles until the fault shows.
    """

    number = models.CharField(max_length=12, unique=True)
    cost_object = models.OneToOneField("fund.CostObject", on_delete=models.PROTECT, related_name="repair")
    application = models.ForeignKey("jobs.Application", on_delete=models.PROTECT, related_name="repairs")
    household = models.ForeignKey("jobs.Household", on_delete=models.PROTECT, related_name="repairs")
    vehicle = models.ForeignKey("jobs.Vehicle", on_delete=models.PROTECT, related_name="repairs")
    alias = models.CharField(max_length=40)
    vehicle_class = models.CharField(max_length=40)
    job_type = models.CharField("kind of job", max_length=60, blank=True)
    typical_job = models.ForeignKey(
        "jobs.JobType", null=True, blank=True, on_delete=models.PROTECT, related_name="repairs"
    )
    complaint = models.TextField()
    cause = models.TextField(blank=True)
    correction = models.TextField(blank=True)
    intermittent = models.BooleanField("comes and goes", default=False)
    owner_minutes_to_failure = models.PositiveIntegerField(null=True, blank=True)
    owner_miles_to_failure = models.PositiveIntegerField(null=True, blank=True)
    mileage_in = models.PositiveIntegerField(null=True, blank=True)
    opened_on = models.DateField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    mechanic = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    book_hours = models.PositiveIntegerField("book hours, in tenths", null=True, blank=True)
    state = models.CharField(max_length=24, choices=STATES, default=State.CHECKED_IN, db_index=True)
    stop_reason = models.TextField(blank=True)
    estimate_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    estimated_on = models.DateField(null=True)
    approved_on = models.DateField(null=True)
    started_on = models.DateField(null=True)
    tested_on = models.DateField(null=True)
    handed_back_on = models.DateField(null=True)
    stopped_on = models.DateField(null=True)

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=[state.value for state in State]), name="jobs_repairorder_state"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.alias}"

    @property
    def ended(self) -> bool:
        return self.state in ENDED

    @property
    def promised(self) -> bool:
        """Whether money is committed to it now."""
        return self.state in PROMISED


class Finding(models.Model):
    """Something else seen while in there; each is done, left or kept for later by somebody's word."""

    repair = models.ForeignKey(RepairOrder, on_delete=models.PROTECT, related_name="findings")
    text = models.TextField()
    found_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    found_on = models.DateField()
    decision = models.CharField(max_length=8, choices=DECISIONS, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_on = models.DateField(null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.text
