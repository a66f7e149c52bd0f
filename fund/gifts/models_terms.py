from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.gifts.models_supporters import Supporter
from fund.gifts.rules_restrictions import CHANGES, STATES
from fund.gifts.rules_terms import OUTCOMES
from fund.ledger.models import Entry, Purpose
from fund.money import MoneyField


class GiftForeign(models.Model):
    """A gift given in another currency: the amount there (its minor units), the rate of its day in millionths."""

    gift = models.OneToOneField("fund.Gift", on_delete=models.PROTECT, related_name="foreign")
    currency = models.CharField(max_length=3)
    amount = models.BigIntegerField()
    rate_millionths = models.BigIntegerField()
    rate_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0, rate_millionths__gt=0), name="foreign_positive")
        ]

    def __str__(self) -> str:
        return f"{self.currency} {self.amount}"


class GiftSettlement(models.Model):
    """How money that was not ours yet was settled: kept, with the words that allow it, or sent back."""

    gift = models.OneToOneField("fund.Gift", on_delete=models.PROTECT, related_name="settlement")
    outcome = models.CharField(max_length=12, choices=list(OUTCOMES.items()))
    on = models.DateField()
    words = models.CharField(max_length=300)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.gift_id} {self.outcome}"


class GiftCorrection(models.Model):
    """A gift written down with the wrong amount, put right by an entry of its own; the gift holds what is right."""

    gift = models.ForeignKey("fund.Gift", on_delete=models.PROTECT, related_name="corrections")
    before = MoneyField()
    after = MoneyField()
    reason = models.CharField(max_length=300)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(after__gt=0) & ~Q(before=F("after")), name="gift_correction_changes_something"
            )
        ]

    def __str__(self) -> str:
        return f"{self.gift_id} {self.before} to {self.after}"


class Benefit(models.Model):
    """What members get in return. `value` is what a giver would pay for it, `cost` what the fund pays."""

    name = models.CharField(max_length=80, unique=True)
    value = MoneyField()
    cost = MoneyField()
    bears_name = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(value__gt=0, cost__gte=0), name="benefit_has_a_value")
        ]

    def __str__(self) -> str:
        return self.name


class GiftBenefit(models.Model):
    """A benefit owed for a gift, with value and cost as they were then; `entry` set it apart, `sent_entry` earned it.

    It ends unsent with `ended_entry` when the whole gift goes back, and is owed again if the gift comes back.
    """

    gift = models.OneToOneField("fund.Gift", on_delete=models.PROTECT, related_name="benefit")
    benefit = models.ForeignKey(Benefit, on_delete=models.PROTECT, related_name="given")
    value = MoneyField()
    cost = MoneyField()
    bears_name = models.BooleanField()
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    sent_on = models.DateField(null=True)
    sent_entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    ended_on = models.DateField(null=True)
    ended_entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_on__isnull=True) | Q(ended_on__isnull=True), name="benefit_sent_or_ended"
            )
        ]

    def __str__(self) -> str:
        return f"{self.benefit_id} for {self.gift_id}"


class RestrictionChange(models.Model):
    """Restricted money let go by its giver, sent back, or repaid to its pot: asked for by one, decided by another."""

    code = models.CharField(max_length=12, unique=True)
    kind = models.CharField(max_length=12, choices=list(CHANGES.items()))
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    amount = MoneyField()
    gift = models.ForeignKey(
        "fund.Gift", null=True, on_delete=models.PROTECT, related_name="restriction_changes"
    )
    words = models.CharField(max_length=300)
    on = models.DateField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=10, choices=list(STATES.items()))
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_on = models.DateField(null=True)
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="restriction_change_positive"),
            models.CheckConstraint(
                condition=Q(decided_by__isnull=True) | ~Q(asked_by=F("decided_by")),
                name="restriction_change_two_people",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Loan(models.Model):
    """Money lent to the fund. What is still owed is `amount` less its moves; it is never shown as a gift first."""

    code = models.CharField(max_length=12, unique=True)
    lender = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="loans")
    amount = MoneyField()
    on = models.DateField()
    words = models.CharField(max_length=300)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="loan_positive")]

    def __str__(self) -> str:
        return self.code


class LoanMove(models.Model):
    """A part of a loan repaid, or forgiven in writing (which is then a gift of that day)."""

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="moves")
    forgiven = models.BooleanField()
    amount = MoneyField()
    on = models.DateField()
    words = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["on", "id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="loan_move_positive")]

    def __str__(self) -> str:
        return f"{self.loan_id} {self.amount}"
