from django.conf import settings
from django.db import models

from fund.ledger.models import CostObject, Entry, Purpose
from fund.money import MoneyField


class CommitmentMove(models.Model):
    """One change of what is promised to a cost object out of one purpose. Append-only.

    ``amount`` is its effect on the open commitment (promise +, spend -, give back +, release -, lapse -); the open
    commitment is the sum. ``cost`` is what was really spent (+) or came back (-), which may exceed the effect within the
    tolerance. ``tolerance`` is what a promise adds to the slack above the approved sum. A release at the end of the work
    leaves the approval as it was, for papers that come in late; a lapse takes with the money also the leave to spend it.
    ``until`` is the last day on which the first thing may be bought; an extension only sets a later one.
    """

    KINDS = [(kind, kind) for kind in ("promise", "spend", "give back", "release", "lapse", "extend")]

    cost_object = models.ForeignKey(CostObject, on_delete=models.PROTECT, related_name="moves")
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=10, choices=KINDS)
    amount = MoneyField()
    cost = MoneyField(default=0)
    tolerance = MoneyField(default=0)
    until = models.DateField(null=True)
    on = models.DateField(db_index=True)
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    # Of what was given back: the entry that had booked the cost.
    of = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300)

    class Meta:
        ordering = ["id"]
        # Open commitments are sums over all moves; these two hold all that the sums need.
        indexes = [
            models.Index(fields=["purpose", "on", "amount"], name="move_open_by_purpose"),
            models.Index(fields=["cost_object", "on", "amount"], name="move_open_by_object"),
        ]

    def __str__(self) -> str:
        return f"{self.cost_object_id} {self.kind} {self.amount}"


class CostObjectEnd(models.Model):
    """That the work on a cost object ended (a vehicle handed back, a repair stopped) or began again. Append-only."""

    cost_object = models.ForeignKey(CostObject, on_delete=models.PROTECT, related_name="ends")
    ended = models.BooleanField()
    on = models.DateField()
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]


class HeldAmount(models.Model):
    """Money in the bank that is not promised yet: a young gift that a dispute may still take back.

    ``source`` is the code of what brought it (written by that room). It counts from ``since`` up to the day before
    ``until``, or before ``ended_on`` when it was let go earlier. ``entry`` brought it into the bank.
    """

    source = models.CharField(max_length=20, unique=True)
    amount = MoneyField()
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    since = models.DateField()
    until = models.DateField()
    ended_on = models.DateField(null=True)
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["until", "id"]
        constraints = [models.CheckConstraint(condition=models.Q(amount__gt=0), name="held_amount_positive")]

    def __str__(self) -> str:
        return f"{self.source} {self.amount}"
