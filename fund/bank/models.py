from django.conf import settings
from django.db import models
from django.db.models import Q

from fund.bank.models_matching import MatchGroup, MatchPart, MatchUndo
from fund.bank.models_reconciling import PlatformBalance, Reconciliation, ReconciliationReview
from fund.bank.rules import CORRECTIONS, FORMATS
from fund.bank.rules_csv import DATE_ORDERS, SIGNS, CsvSpec
from fund.ledger.models import Account
from fund.long_work import LongJob
from fund.money import MoneyField

__all__ = [
    "BankAccount",
    "MatchGroup",
    "MatchPart",
    "MatchUndo",
    "PlatformBalance",
    "Reconciliation",
    "ReconciliationReview",
    "StatementFile",
    "StatementJob",
    "StatementLayout",
    "StatementLine",
    "StatementUpload",
]


class BankAccount(models.Model):
    """The fund's account at a bank, behind the account Bank of the books. ``number`` is as statements write it."""

    ledger_account = models.OneToOneField(Account, on_delete=models.PROTECT, related_name="bank_account")
    number = models.CharField(max_length=60, blank=True)
    currency = models.CharField(max_length=3, blank=True)

    def __str__(self) -> str:
        return f"Account ending {self.number[-4:]}" if self.number else "Bank account"


class StatementLayout(models.Model):
    """How one bank writes its CSV; see :class:`CsvSpec` for what the columns hold."""

    name = models.SlugField(max_length=40, unique=True)
    columns = models.JSONField()
    signs = models.CharField(max_length=12, choices=list(SIGNS.items()))
    out_words = models.JSONField(default=list)
    date_order = models.CharField(max_length=3, choices=list(DATE_ORDERS.items()))
    decimal_mark = models.CharField(max_length=1)
    delimiter = models.CharField(max_length=1)
    encoding = models.CharField(max_length=20)
    lines_before = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def spec(self) -> CsvSpec:
        told = {name: getattr(self, name) for name in CsvSpec.__dataclass_fields__}
        return CsvSpec(**{**told, "out_words": tuple(self.out_words)})


class StatementUpload(models.Model):
    """A file between its upload and the decision to take it; gone after that."""

    name = models.CharField(max_length=200)
    data = models.BinaryField()
    layout = models.ForeignKey(StatementLayout, null=True, on_delete=models.PROTECT, related_name="+")
    opening = MoneyField(null=True)
    closing = MoneyField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return self.name


class StatementJob(LongJob):
    """A large statement being taken while its page shows how far it is. ``upload`` is gone once it is done."""

    told_as = "statement"

    upload = models.ForeignKey(StatementUpload, null=True, on_delete=models.SET_NULL, related_name="jobs")
    name = models.CharField(max_length=200)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.name} {self.state}"


class StatementFile(models.Model):
    """A statement as it came, kept as evidence. Append-only.

    ``opening`` is that of its first sheet, ``closing`` that of its last; None where the bank does not tell.
    """

    account = models.ForeignKey(BankAccount, on_delete=models.PROTECT, related_name="files")
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, unique=True)
    format = models.CharField(max_length=10, choices=[(name, name) for name in FORMATS])
    layout = models.ForeignKey(StatementLayout, null=True, on_delete=models.PROTECT, related_name="+")
    data = models.BinaryField()
    starts = models.DateField(null=True)
    ends = models.DateField(null=True)
    opening = MoneyField(null=True)
    closing = MoneyField(null=True)
    rows_in_file = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return self.name


class StatementLine(models.Model):
    """A line of the bank. Append-only: a correction by the bank is a new line that names the one it ``corrects``.

    ``amount`` is signed from the fund's side (money in positive). ``effect`` is what the line adds to the balance on
    its own day: its amount, or for a correction the change it makes; the balance of a day is the sum of effects.
    """

    account = models.ForeignKey(BankAccount, on_delete=models.PROTECT, related_name="lines", db_index=False)
    file = models.ForeignKey(StatementFile, on_delete=models.PROTECT, related_name="lines")
    ref = models.CharField(max_length=100)
    on = models.DateField()
    amount = MoneyField()
    effect = MoneyField()
    name = models.CharField(max_length=140, blank=True)
    text = models.CharField(max_length=300, blank=True)
    kind = models.CharField(max_length=20, blank=True)
    check_number = models.CharField(max_length=20, blank=True)
    correction = models.CharField(max_length=8, blank=True, choices=list(CORRECTIONS.items()))
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")

    class Meta:
        ordering = ["on", "id"]
        indexes = [models.Index(fields=["account", "on"], name="statement_line_day")]
        constraints = [
            models.UniqueConstraint(fields=["account", "ref"], name="statement_line_once"),
            models.CheckConstraint(
                condition=Q(correction="", corrects=None) | (~Q(correction="") & ~Q(corrects=None)),
                name="statement_line_correction",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.amount} {self.words}"

    @property
    def words(self) -> str:
        check = f"Check {self.check_number}" if self.check_number else ""
        return " · ".join(filter(None, (self.name, self.text, check))) or self.kind.capitalize() or "No words"
