from django.conf import settings
from django.db import models

from fund.money import MoneyField
from fund.sealed_fields import SealedTextField

KINDS = [
    ("agreement", "first of two yeses"),
    ("approval", "approval"),
    ("consumables", "mechanic's consumables"),
    ("supplement", "supplement"),
    ("ratification", "ratification"),
    ("renewal", "renewal"),
    ("let go", "let go"),
    ("later", "put off"),
    ("decline", "decline"),
]


class Approval(models.Model):
    """A decision on a repair with every figure it used. Rows are never changed (database trigger).

    Amount is the cost decided on, without core deposits (of a promise let go, what was free again); tolerance is what the
    bill may run over it; ``until`` is the last day on which the first thing may be bought for it. ``taken_in`` is what of an
    approval's amount had been spent already on the mechanic's own consumables, so that it is not promised a second time.
    ``complaint`` is what the household told: sealed, and taken away when its file is due; the snapshot has none of it.
    """

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="approvals")
    kind = models.CharField(max_length=12, choices=KINDS)
    approver = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    at = models.DateTimeField()
    amount = MoneyField()
    tolerance = MoneyField()
    taken_in = MoneyField(default=0)
    until = models.DateField(null=True)
    purpose = models.CharField(max_length=40, default="general")
    reason = models.TextField(blank=True)
    complaint = SealedTextField("the complaint as it was told then", blank=True)
    snapshot = models.JSONField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"


class ApprovalRelation(models.Model):
    """One person's answer to: is this household tied to you? Asked anew for each repair."""

    repair = models.ForeignKey("jobs.RepairOrder", on_delete=models.PROTECT, related_name="relations")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    tie = models.BooleanField(null=True)
    words = SealedTextField(blank=True)
    asked_on = models.DateField()
    on = models.DateField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["repair", "person"], name="jobs_approvalrelation_one_per_person"),
        ]

    def __str__(self) -> str:
        return f"{self.person} on {self.repair}"
