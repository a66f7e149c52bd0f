from django.conf import settings
from django.db import models
from django.db.models import Q

from fund.gifts.models_cash import CashCount, Deposit, HandOver, HeldCheck
from fund.gifts.models_platforms import (
    ExchangeRate,
    ImportJob,
    Layout,
    LayoutSample,
    Payout,
    PayoutFile,
    Platform,
    PlatformHold,
)
from fund.gifts.models_supporters import Decline, Pledge, Supporter, SupporterKey, SupporterMerge
from fund.gifts.models_terms import (
    Benefit,
    GiftBenefit,
    GiftCorrection,
    GiftForeign,
    GiftSettlement,
    Loan,
    LoanMove,
    RestrictionChange,
)
from fund.gifts.models_watch import GiftException
from fund.gifts.rules import CASH, FEE_SIDES, GIFT_KINDS, GOODS, RETURN_KINDS
from fund.gifts.rules_returns import BACK_AGAIN, DISPUTES
from fund.gifts.rules_terms import GIFT, NATURES, UNNAMED
from fund.ledger.models import CostObject, Entry, Purpose
from fund.money import MoneyField

__all__ = [
    "Benefit",
    "CashCount",
    "Decline",
    "Deposit",
    "ExchangeRate",
    "Gift",
    "GiftBenefit",
    "GiftCorrection",
    "GiftException",
    "GiftForeign",
    "GiftReturn",
    "GiftSettlement",
    "HandOver",
    "HeldCheck",
    "ImportJob",
    "Layout",
    "LayoutSample",
    "Loan",
    "LoanMove",
    "Payout",
    "PayoutFile",
    "Platform",
    "PlatformFee",
    "PlatformHold",
    "Pledge",
    "RestrictionChange",
    "Supporter",
    "SupporterKey",
    "SupporterMerge",
]


class Gift(models.Model):
    """A gift at the amount the supporter gave. `received_on` is the charge date, or a check's postmark date.

    `platform_fee` and `processing_fee` are what the platform kept of it, `exchange` what was lost (negative: won) when
    it turned foreign money into ours; none is netted from `amount`. `nature` says whether it is ours yet, `terms` in
    whose words. `arrived_on` is the day the mail was opened. `held_by` is the crew member whose own account it came
    through, `hand_over` what brought it to the bank. Only goods may be worth 0.00, and only those have no entry.
    """

    code = models.CharField(max_length=12, unique=True)
    supporter = models.ForeignKey(
        Supporter, null=True, blank=True, on_delete=models.PROTECT, related_name="gifts"
    )
    received_on = models.DateField(db_index=True)
    arrived_on = models.DateField(null=True)
    amount = MoneyField()
    kind = models.CharField(max_length=12, choices=list(GIFT_KINDS.items()))
    nature = models.CharField(max_length=16, choices=list(NATURES.items()), default=GIFT)
    terms = models.CharField(max_length=300, blank=True)
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    cost_object = models.ForeignKey(CostObject, null=True, on_delete=models.PROTECT, related_name="+")
    platform = models.ForeignKey(Platform, null=True, on_delete=models.PROTECT, related_name="gifts")
    platform_ref = models.CharField(max_length=80, blank=True)
    platform_fee = MoneyField()
    processing_fee = MoneyField()
    exchange = MoneyField(default=0)
    payout = models.ForeignKey(Payout, null=True, on_delete=models.PROTECT, related_name="gifts")
    check_number = models.CharField(max_length=30, blank=True)
    count = models.OneToOneField(CashCount, null=True, on_delete=models.PROTECT, related_name="gift")
    deposit = models.ForeignKey(Deposit, null=True, on_delete=models.PROTECT, related_name="gifts")
    payable_to = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    held_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    hand_over = models.ForeignKey(HandOver, null=True, on_delete=models.PROTECT, related_name="gifts")
    testing = models.BooleanField(default=False)
    credited = models.ManyToManyField(Supporter, related_name="credited")
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="gifts")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-received_on", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["platform", "platform_ref"],
                condition=~Q(platform_ref=""),
                name="gift_platform_ref_once",
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0, entry__isnull=False) | Q(amount=0, entry__isnull=True, kind=GOODS),
                name="gift_positive",
            ),
            models.CheckConstraint(
                condition=Q(platform_fee__gte=0, processing_fee__gte=0), name="gift_fees_positive"
            ),
            models.CheckConstraint(
                condition=Q(supporter__isnull=False)
                | Q(kind__in=(CASH, GOODS))
                | Q(platform__isnull=False)
                | Q(nature__in=UNNAMED),
                name="gift_named",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class GiftReturn(models.Model):
    """Money of a gift that went back: a refund, a chargeback or a returned check. `gift` is empty when a file
    names none that the books know. `fee` is what the bank or platform charged for it, `exchange` what giving back
    foreign money at another rate cost on top. A dispute that was won and a refund that never arrived bring the money
    back again: such a row is negative. `outcome` is how a chargeback stands."""

    kind = models.CharField(max_length=16, choices=list(RETURN_KINDS.items()))
    gift = models.ForeignKey(Gift, null=True, on_delete=models.PROTECT, related_name="returns")
    on = models.DateField()
    amount = MoneyField()
    fee = MoneyField()
    exchange = MoneyField(default=0)
    outcome = models.CharField(max_length=10, blank=True, choices=list(DISPUTES.items()))
    decided_on = models.DateField(null=True)
    decided_words = models.CharField(max_length=300, blank=True)
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    platform = models.ForeignKey(Platform, null=True, on_delete=models.PROTECT, related_name="returns")
    platform_ref = models.CharField(max_length=80, blank=True)
    payout = models.ForeignKey(Payout, null=True, on_delete=models.PROTECT, related_name="returns")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="gift_returns")
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["platform", "platform_ref"],
                condition=~Q(platform_ref=""),
                name="return_platform_ref_once",
            ),
            models.UniqueConstraint(
                fields=["gift"], condition=Q(kind="returned check"), name="check_returned_once"
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0, fee__gte=0) & ~Q(kind__in=BACK_AGAIN)
                | Q(amount__lt=0, fee=0, kind__in=BACK_AGAIN),
                name="return_positive",
            ),
            models.CheckConstraint(
                condition=Q(kind="chargeback") & ~Q(outcome="") | ~Q(kind="chargeback") & Q(outcome=""),
                name="return_dispute_has_an_outcome",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"


class PlatformFee(models.Model):
    """A fee that came on a row of its own and belongs to no gift; negative when the platform gave it back.

    `side` says what for: the platform's own share, the processing of payments, or a dispute.
    """

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="fees")
    platform_ref = models.CharField(max_length=80)
    on = models.DateField()
    amount = MoneyField()
    side = models.CharField(max_length=10, choices=list(FEE_SIDES.items()))
    payout = models.ForeignKey(Payout, null=True, on_delete=models.PROTECT, related_name="fees")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [models.UniqueConstraint(fields=["platform", "platform_ref"], name="platform_fee_once")]

    def __str__(self) -> str:
        return f"{self.platform_ref} {self.amount}"
