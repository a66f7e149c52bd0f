from django.conf import settings
from django.db import models

from fund.money import MoneyField


class Account(models.Model):
    """An account of the chart. A sub-account (one per payment platform) names its parent."""

    KINDS = [(kind, kind) for kind in ("asset", "liability", "net assets", "income", "expense")]
    FUNCTIONS = [(name, name) for name in ("", "program", "management", "fundraising")]

    code = models.CharField(max_length=8, primary_key=True)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=KINDS)
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="parts")
    function = models.CharField(max_length=12, blank=True, choices=FUNCTIONS)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Purpose(models.Model):
    """What money may be used for: ``general``, or one restriction named by a giver."""

    code = models.SlugField(max_length=30, primary_key=True)
    name = models.CharField(max_length=80)
    restricted = models.BooleanField(default=True)
    giver_words = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["restricted", "code"]

    def __str__(self) -> str:
        return self.name


class CostObject(models.Model):
    """What a cost is collected on: a repair order. The label holds an alias, never a name."""

    code = models.CharField(max_length=20, primary_key=True)
    label = models.CharField(max_length=120)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.code} {self.label}"


class Month(models.Model):
    """A month that has been closed. Months close in order; a month without a row is open."""

    key = models.CharField(max_length=7, primary_key=True)
    closed_at = models.DateTimeField(null=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["key"]

    def __str__(self) -> str:
        return self.key


class Entry(models.Model):
    """One balanced posting. Written once, after its lines, and never changed (triggers see to both).

    ``digest`` is the SHA-256 of the canonical content of this entry together with ``prev_digest``.
    """

    number = models.BigIntegerField(primary_key=True)
    kind = models.CharField(max_length=30)
    document_date = models.DateField()
    posting_date = models.DateField(db_index=True)
    month = models.CharField(max_length=7, db_index=True)
    text = models.CharField(max_length=200)
    source = models.CharField(max_length=120, blank=True, db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")
    later_change = models.BooleanField(default=False)
    created_at = models.DateTimeField()
    prev_digest = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"Entry {self.number}"


class Line(models.Model):
    """One account, purpose, cost object and signed amount of an entry (debit positive, minor units)."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="lines")
    ordinal = models.PositiveSmallIntegerField()
    account = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="+", db_index=False)
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+", db_index=False)
    cost_object = models.ForeignKey(
        CostObject, null=True, on_delete=models.PROTECT, related_name="lines", db_index=False
    )
    amount = MoneyField()
    document_date = models.DateField()
    posting_date = models.DateField()
    month = models.CharField(max_length=7)
    party = models.CharField(max_length=60, blank=True)
    text = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["entry_id", "ordinal"]
        indexes = [
            models.Index(fields=["month", "account", "purpose"], name="line_month_account"),
            models.Index(fields=["account", "posting_date"], name="line_account_day"),
            models.Index(
                fields=["cost_object", "account"],
                name="line_cost_object",
                condition=models.Q(cost_object__isnull=False),
            ),
        ]
        constraints = [models.CheckConstraint(condition=~models.Q(amount=0), name="line_amount_not_zero")]

    def __str__(self) -> str:
        return f"{self.account_id} {self.amount}"


class MonthBalance(models.Model):
    """What an account held in a purpose at the close of a month; written by the close, never changed.

    Opening and closing are signed (debit positive); debit and credit are the movements, both positive.
    """

    month = models.ForeignKey(Month, on_delete=models.PROTECT, related_name="balances")
    account = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="+")
    purpose = models.ForeignKey(Purpose, on_delete=models.PROTECT, related_name="+")
    opening = MoneyField()
    debit = MoneyField()
    credit = MoneyField()
    closing = MoneyField()

    class Meta:
        ordering = ["month_id", "account_id", "purpose_id"]
        constraints = [
            models.UniqueConstraint(fields=["month", "account", "purpose"], name="month_balance_once")
        ]

    def __str__(self) -> str:
        return f"{self.month_id} {self.account_id} {self.closing}"
