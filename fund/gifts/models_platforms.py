from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fund.gifts.rules import PLATFORM_KINDS
from fund.gifts.rules_layout import DATE_ORDERS, SIGNS, LayoutSpec
from fund.ledger.models import Account, Entry
from fund.long_work import LongJob
from fund.money import MoneyField


class Platform(models.Model):
    """A membership platform or card processor, with the clearing account for what it still holds."""

    code = models.SlugField(max_length=30, primary_key=True)
    name = models.CharField(max_length=80)
    account = models.OneToOneField(Account, on_delete=models.PROTECT, related_name="platform")
    kind = models.CharField(max_length=12, choices=list(PLATFORM_KINDS.items()))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Layout(models.Model):
    """How one platform writes its payout file; see :class:`LayoutSpec` for what the JSON columns hold."""

    name = models.SlugField(max_length=40, unique=True)
    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="layouts")
    columns = models.JSONField()
    fees = models.JSONField(default=dict)
    words = models.JSONField()
    purposes = models.JSONField(default=dict)
    ignored = models.JSONField(default=list)
    hidden_words = models.JSONField(default=list)
    date_order = models.CharField(max_length=3, choices=list(DATE_ORDERS.items()), default="YMD")
    decimal_mark = models.CharField(max_length=1, default=".")
    delimiter = models.CharField(max_length=1, default=",")
    encoding = models.CharField(max_length=20, default="utf-8")
    signs = models.CharField(max_length=8, choices=list(SIGNS.items()), default="plain")
    home_currency = models.CharField(max_length=3, default="USD")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def spec(self) -> LayoutSpec:
        return LayoutSpec(
            name=self.name,
            columns=self.columns,
            fees=self.fees,
            words=self.words,
            purposes=self.purposes,
            ignored=tuple(self.ignored),
            hidden_words=tuple(self.hidden_words),
            date_order=self.date_order,
            decimal_mark=self.decimal_mark,
            delimiter=self.delimiter,
            encoding=self.encoding,
            signs=self.signs,
            home_currency=self.home_currency,
        )


class PayoutFile(models.Model):
    """A file as it came, kept from upload to posting and as evidence afterwards."""

    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    data = models.BinaryField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    posted_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [models.UniqueConstraint(fields=["sha256", "layout"], name="payout_file_once")]

    def __str__(self) -> str:
        return self.name


class Payout(models.Model):
    """One transfer from a platform: net = gross - fees - refunds - exchange, to the cent.

    `refunds` include chargebacks, less what came back again; `exchange` is what turning foreign money into ours lost.
    """

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="payouts")
    ref = models.CharField(max_length=80)
    paid_on = models.DateField(db_index=True)
    gross = MoneyField()
    platform_fee = MoneyField()
    processing_fee = MoneyField()
    dispute_fee = MoneyField()
    refunds = MoneyField()
    exchange = MoneyField(default=0)
    net = MoneyField()
    file = models.ForeignKey(PayoutFile, on_delete=models.PROTECT, related_name="payouts")
    entry = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-paid_on", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["platform", "ref"], name="payout_once"),
            models.CheckConstraint(
                condition=Q(
                    net=F("gross")
                    - F("platform_fee")
                    - F("processing_fee")
                    - F("dispute_fee")
                    - F("refunds")
                    - F("exchange")
                ),
                name="payout_ties",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.platform.name} {self.ref}"


class PlatformHold(models.Model):
    """A platform keeps money back for review: it stays in clearing and is told at the close until it is released."""

    platform = models.ForeignKey(Platform, on_delete=models.PROTECT, related_name="holds")
    since = models.DateField()
    words = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ended_on = models.DateField(null=True)

    class Meta:
        ordering = ["-since", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["platform"], condition=Q(ended_on__isnull=True), name="platform_held_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.platform_id} since {self.since}"


class ExchangeRate(models.Model):
    """What one unit of a currency was worth in ours on a day, in millionths; valid until the next day with a rate."""

    currency = models.CharField(max_length=3)
    on = models.DateField()
    rate_millionths = models.BigIntegerField()
    source = models.CharField(max_length=120)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["currency", "-on"]
        constraints = [
            models.UniqueConstraint(fields=["currency", "on"], name="exchange_rate_once"),
            models.CheckConstraint(condition=Q(rate_millionths__gt=0), name="exchange_rate_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.currency} {self.on}"


class LayoutSample(models.Model):
    """A file from which a layout is made on screen; it goes when the layout is saved or dropped."""

    name = models.CharField(max_length=200)
    data = models.BinaryField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return self.name


class ImportJob(LongJob):
    """A large payout file being posted while its page shows how far it is."""

    told_as = "payout"

    file = models.ForeignKey(PayoutFile, on_delete=models.PROTECT, related_name="jobs")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.file_id} {self.state}"
