from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.gifts.models_supporters import Supporter
from fund.ledger.models import Entry, Purpose
from fund.money import MoneyField


class Deposit(models.Model):
    """Counted cash and checks taken to the bank together."""

    code = models.CharField(max_length=12, unique=True)
    on = models.DateField()
    total = MoneyField()
    note = models.CharField(max_length=300, blank=True)
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return self.code


class CashCount(models.Model):
    """Cash counted and signed by two. `denominations` maps a face value (minor units) to how many.

    `receipts` is what the receipt book says came in; it is the gift, and the difference is over or short. `spent` was
    taken from the cash before it was counted: `total` is what lay there, `total` + `spent` what came in. A count that
    was wrong is voided and keeps its number.
    """

    code = models.CharField(max_length=12, unique=True)
    on = models.DateField()
    place = models.CharField(max_length=120)
    denominations = models.JSONField()
    counted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    second_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    total = MoneyField()
    spent = MoneyField(default=0)
    receipts = MoneyField()
    note = models.CharField(max_length=300, blank=True)
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    deposit = models.ForeignKey(Deposit, null=True, on_delete=models.PROTECT, related_name="counts")
    void_on = models.DateField(null=True)
    void_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(counted_by=F("second_by")), name="count_two_people"),
            models.CheckConstraint(condition=Q(total__gt=0, spent__gte=0), name="count_not_empty"),
            models.CheckConstraint(
                condition=Q(void_on__isnull=True) | Q(deposit__isnull=True), name="count_void_is_not_banked"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class HandOver(models.Model):
    """Gifts that came through a crew member's own account, brought to the fund's bank account."""

    code = models.CharField(max_length=12, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    total = MoneyField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return self.code


class HeldCheck(models.Model):
    """A check with a date still to come. Nothing is booked until then; `gift` is what became of it."""

    code = models.CharField(max_length=12, unique=True)
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="held_checks")
    amount = MoneyField()
    check_number = models.CharField(max_length=30)
    dated_on = models.DateField()
    arrived_on = models.DateField()
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    gift = models.OneToOneField("fund.Gift", null=True, on_delete=models.PROTECT, related_name="held_check")
    handed_back_on = models.DateField(null=True)
    handed_back_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["dated_on", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="held_check_positive"),
            models.CheckConstraint(
                condition=Q(gift__isnull=True) | Q(handed_back_on__isnull=True), name="held_check_one_end"
            ),
        ]

    def __str__(self) -> str:
        return self.code
