from django.conf import settings
from django.db import models
from django.db.models import Q

from fund.sealed_fields import SealedJSONField, SealedTextField
from jobs.handback.rules_proof import FLUIDS, LEVELS

FLUID_CHOICES = [(key, words) for key, words in FLUIDS.items()]
LEVEL_CHOICES = [(key, words) for key, words in LEVELS.items()]


class CheckList(models.Model):
    """What a second person went through after the work. Append-only; a second look is a second list.

    ``lines`` keeps the words that were signed: ``{"text", "answer", "note"}``, the answer one of ``rules_proof.Answer``.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="check_lists")
    on = models.DateField()
    job_type = models.CharField(max_length=60)
    lines = models.JSONField()
    whole = models.BooleanField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.repair_id} looked over {self.on}"

    @property
    def against(self) -> list[str]:
        """The lines that were answered no, with their notes."""
        return [f"{row['text']}: {row['note']}" for row in self.lines if row["answer"] == "no"]


class FluidLine(models.Model):
    """One fluid on a road test: what came out in the work, what went in, what was added after the drive. Append-only.

    Amounts in thousandths of a quart; the temperature at which the level was read in degrees Fahrenheit.
    """

    road_test = models.ForeignKey("jobs.RoadTest", on_delete=models.PROTECT, related_name="fluids")
    fluid = models.CharField(max_length=20, choices=FLUID_CHOICES)
    out = models.PositiveIntegerField(null=True)
    put_in = models.PositiveIntegerField(default=0)
    added = models.PositiveIntegerField(default=0)
    level = models.CharField(max_length=12, choices=LEVEL_CHOICES)
    temp_f = models.SmallIntegerField(null=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["road_test", "fluid"], name="jobs_fluidline_once"),
        ]

    def __str__(self) -> str:
        return f"{self.fluid} {self.level}"


class UnsafeRefusal(models.Model):
    """The owner of the vehicle refuses work without which it is not safe, and signed that they know. Append-only.

    Signed on ``paper``, of which a photo or PDF is kept, or on the screen: then ``told`` keeps the words that stood
    there (``rules_refusal.RefusalText``), and ``drawn`` or ``signed_by`` the signature, sealed.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="unsafe_refusals")
    finding = models.ForeignKey("jobs.Finding", null=True, on_delete=models.PROTECT, related_name="+")
    text = models.CharField(max_length=300)
    paper = models.ForeignKey("fund.Attachment", null=True, on_delete=models.PROTECT, related_name="+")
    told = models.JSONField(null=True)
    drawn = SealedJSONField("the owner's signature as drawn", null=True)
    signed_by = SealedTextField("the owner's name as signed", blank=True)
    on = models.DateField()
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(paper__isnull=False) | Q(told__isnull=False), name="jobs_unsaferefusal_signed"
            ),
        ]

    def __str__(self) -> str:
        return self.text


class RefusalEnd(models.Model):
    """How a refusal ended: the owner agreed after all, or an owner of the fund lets the vehicle go untested.

    Append-only.
    """

    refusal = models.OneToOneField(UnsafeRefusal, on_delete=models.PROTECT, related_name="end")
    kind = models.CharField(
        max_length=10,
        choices=[("agreed", "The owner agreed to the work"), ("untested", "Goes back without a road test")],
    )
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.refusal_id} {self.kind}"


class Reminder(models.Model):
    """Something to do or to ask after a hand-back, on a day. Written with the hand-back; ``done_on`` ends it."""

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="reminders")
    due = models.DateField(db_index=True)
    text = models.CharField(max_length=200)
    done_on = models.DateField(null=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    outcome = models.CharField(max_length=12, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["due", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(done_on=None, done_by=None, outcome="")
                | (Q(done_on__isnull=False, done_by__isnull=False) & ~Q(outcome="")),
                name="jobs_reminder_done",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.due} {self.text}"


class Comeback(models.Model):
    """A repair order that is there because an earlier repair did not hold: linked to it and counted apart.

    ``fault`` says whose it was, once somebody who did neither repair has compared the two check-ins.
    """

    repair = models.OneToOneField("jobs.RepairOrder", on_delete=models.PROTECT, related_name="comeback")
    original = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="comebacks")
    same = models.BooleanField()
    told_on = models.DateField(db_index=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    fault = models.CharField(
        max_length=8, blank=True, choices=[("ours", "The crew's"), ("other", "Not the crew's")]
    )
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_on = models.DateField(null=True)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-told_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(fault="", decided_by=None, decided_on=None)
                | (~Q(fault="") & Q(decided_by__isnull=False, decided_on__isnull=False)),
                name="jobs_comeback_decided",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.repair_id} of {self.original_id}"
