from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.ledger.models import Entry
from fund.money import Money, MoneyField
from fund.receipts.models import Receipt
from fund.repayments.rules import cents_text, miles_text


class MileageRate(models.Model):
    """What a mile driven for the fund is repaid at from a day on, in tenths of a cent. Append-only; the newest counts."""

    tenths = models.PositiveIntegerField()
    source = models.CharField(max_length=200)
    valid_from = models.DateField(db_index=True)

    class Meta:
        ordering = ["-valid_from", "-id"]
        constraints = [models.CheckConstraint(condition=Q(tenths__gt=0), name="mileage_rate_above_zero")]

    def __str__(self) -> str:
        return f"{cents_text(self.tenths)} cents from {self.valid_from}"


class Mileage(models.Model):
    """Miles that a crew member drove for the fund with their own vehicle, at the rate of the day.

    ``tenths`` of a mile; ``rate`` in tenths of a cent a mile.
    """

    STATES = [("posted", "posted"), ("reversed", "taken back")]

    code = models.CharField(max_length=12, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="mileage")
    on = models.DateField(db_index=True)
    tenths = models.PositiveIntegerField()
    rate = models.PositiveIntegerField()
    amount = MoneyField()
    reason = models.CharField(max_length=120)
    state = models.CharField(max_length=8, choices=STATES, default="posted")
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["-on", "-code"]
        constraints = [
            models.CheckConstraint(condition=Q(tenths__gt=0, amount__gt=0), name="mileage_above_zero")
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def miles(self) -> str:
        return miles_text(self.tenths)


class Repayment(models.Model):
    """What the fund owes a crew member, settled for named claims: paid (prepared by one person, released by another),
    or given back to the fund by the member.

    ``amount`` is the sum of the claims; ``kept_due`` and ``kept_advance`` of it were set against what the member owed
    the fund or still held as an advance, so ``paid`` left the bank.
    """

    STATES = [
        ("prepared", "prepared"),
        ("released", "paid"),
        ("cancelled", "cancelled"),
        ("stopped", "check stopped"),
        ("given", "given back"),
    ]
    WAYS = [("transfer", "bank transfer"), ("check", "check"), ("gift", "given back as a gift")]

    code = models.CharField(max_length=12, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="repayments")
    amount = MoneyField()
    kept_due = MoneyField(default=0)
    kept_advance = MoneyField(default=0)
    way = models.CharField(max_length=8, choices=WAYS, default="transfer")
    check_number = models.CharField(max_length=30, blank=True)
    on = models.DateField()
    state = models.CharField(max_length=9, choices=STATES, default="prepared")
    prepared_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    prepared_at = models.DateTimeField()
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    released_at = models.DateTimeField(null=True)
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    stop_entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gt=0, kept_due__gte=0, kept_advance__gte=0)
                & Q(amount__gte=F("kept_due") + F("kept_advance")),
                name="repayment_amount_positive",
            ),
            models.CheckConstraint(
                condition=Q(released_by__isnull=True) | ~Q(released_by=F("prepared_by")),
                name="repayment_takes_two_people",
            ),
            models.CheckConstraint(
                condition=Q(way="gift", prepared_by=F("person"), released_by__isnull=True)
                | (
                    ~Q(way="gift")
                    & ~Q(prepared_by=F("person"))
                    & (Q(released_by__isnull=True) | ~Q(released_by=F("person")))
                ),
                name="repayment_not_by_claimant",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def kept(self) -> Money:
        """What was not paid out because it was set against what the person owed or held."""
        return self.kept_due + self.kept_advance

    @property
    def paid(self) -> Money:
        return self.amount - self.kept


class RepaymentItem(models.Model):
    """A claim in a repayment. A claim is in one live repayment at most, which the database sees to.

    When a repayment is cancelled or its check stopped, ``receipt`` and ``mileage`` are let go and ``code`` stays.
    """

    repayment = models.ForeignKey(Repayment, on_delete=models.CASCADE, related_name="items")
    code = models.CharField(max_length=12)
    receipt = models.OneToOneField(
        Receipt, null=True, on_delete=models.PROTECT, related_name="repayment_item"
    )
    mileage = models.OneToOneField(
        Mileage, null=True, on_delete=models.PROTECT, related_name="repayment_item"
    )
    amount = MoneyField()
    flag = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(receipt__isnull=True) | Q(mileage__isnull=True), name="repayment_item_one_claim"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.amount}"


class Advance(models.Model):
    """Money given to a crew member before it is spent. What is left of it is in the books (account 1140, by person)."""

    STATES = [("prepared", "prepared"), ("given", "given"), ("cancelled", "cancelled")]

    code = models.CharField(max_length=12, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="advances")
    amount = MoneyField()
    reason = models.CharField(max_length=160)
    on = models.DateField()
    state = models.CharField(max_length=9, choices=STATES, default="prepared")
    prepared_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    prepared_at = models.DateTimeField()
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    released_at = models.DateTimeField(null=True)
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-code"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="advance_above_zero"),
            models.CheckConstraint(
                condition=~Q(prepared_by=F("person"))
                & (
                    Q(released_by__isnull=True)
                    | (~Q(released_by=F("person")) & ~Q(released_by=F("prepared_by")))
                ),
                name="advance_takes_three_people",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class PettyCashFloat(models.Model):
    """The fixed sum petty cash is brought up to, from a day on. Append-only; the newest row counts."""

    amount = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    seen_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gte=0), name="float_not_negative"),
            models.CheckConstraint(condition=~Q(set_by=F("seen_by")), name="float_takes_two_people"),
        ]


class PettyCashCount(models.Model):
    """What two people found in the box, and the difference booked (minus when short)."""

    counted = MoneyField()
    expected = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    counted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    seen_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(counted_by=F("seen_by")), name="petty_count_takes_two_people"
            ),
        ]
