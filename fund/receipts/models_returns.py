"""What goes back: parts to a store or to the shelf, and the money a store owes for them."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from fund.ledger.models import CostObject, Entry
from fund.money import Money, MoneyField
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfIssue, ShelfLot, Supplier


class Claim(models.Model):
    """Money a store owes the fund: a part brought back, tax charged in error, a warranty; or an insurer, for a loss.

    A receivable until settled.
    """

    KINDS = [
        ("return", "part brought back"),
        ("tax", "tax charged in error"),
        ("warranty", "warranty"),
        ("insurance", "an insurer pays"),
    ]

    code = models.CharField(max_length=12, unique=True)
    kind = models.CharField(max_length=9, choices=KINDS)
    store = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="claims")
    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, related_name="claims")
    text = models.CharField(max_length=120)
    account = models.CharField(max_length=8)
    amount = MoneyField()
    cost_object = models.ForeignKey(CostObject, null=True, on_delete=models.PROTECT, related_name="+")
    on = models.DateField(db_index=True)
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-code"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="claim_amount_positive")]

    def __str__(self) -> str:
        return self.code


class ClaimSettlement(models.Model):
    """A part of a claim that ended: money, credit at the store, kept by the store, refused, or set against a bill."""

    KINDS = [
        ("bank", "paid to the fund's account"),
        ("store_credit", "credit at the store"),
        ("crew", "paid to a crew member's own card"),
        ("bill", "set against the store's bill"),
        ("kept", "kept by the store (restocking)"),
        ("refused", "refused"),
    ]

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="settlements")
    kind = models.CharField(max_length=12, choices=KINDS)
    amount = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    bill = models.ForeignKey(Receipt, null=True, on_delete=models.PROTECT, related_name="offsets")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="settlement_amount_positive")]


class PartReturn(models.Model):
    """A quantity (thousandths) and cost that left the home of a receipt's line, or of an issue, and where it went.

    ``to`` is store (``claim`` holds the money), shelf (``lot`` holds the goods), rebate (money for a part that stays),
    replaced (a part exchanged at no charge: a quantity with no money and no entry), insurer or tax (a claim, whose amount of
    tax is here apart for each line). What is still in the cost follows from these rows alone (``in_cost``).
    """

    WAYS = [
        ("store", "to the store"),
        ("shelf", "to the shelf"),
        ("rebate", "rebate; the part stays"),
        ("replaced", "replaced at no charge"),
        ("insurer", "an insurer pays; the part stays"),
        ("tax", "tax claimed back"),
    ]

    portion = models.ForeignKey(ReceiptPortion, null=True, on_delete=models.PROTECT, related_name="returns")
    issue = models.ForeignKey(ShelfIssue, null=True, on_delete=models.PROTECT, related_name="returns")
    to = models.CharField(max_length=8, choices=WAYS)
    quantity = models.BigIntegerField()
    amount = MoneyField()
    reason = models.CharField(max_length=200)
    on = models.DateField()
    entry = models.ForeignKey(Entry, null=True, on_delete=models.PROTECT, related_name="+")
    claim = models.OneToOneField(Claim, null=True, on_delete=models.PROTECT, related_name="part")
    lot = models.OneToOneField(ShelfLot, null=True, on_delete=models.PROTECT, related_name="came_back")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(portion__isnull=True, issue__isnull=False)
                | Q(portion__isnull=False, issue__isnull=True),
                name="part_return_of_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(quantity__gte=0, amount__gte=0), name="part_return_not_negative"
            ),
        ]


class LateCoreRefund(models.Model):
    """Money for a core that had been written off: it takes back what was lost, never the cost of the part."""

    core = models.OneToOneField(CoreDeposit, on_delete=models.PROTECT, related_name="late_refund")
    amount = MoneyField()
    on = models.DateField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")


class StatementQuestion(models.Model):
    """A store's statement that is not what the papers add up to, and what the store said. Pays and books nothing.

    ``said`` and ``papers`` are the statement and the sum of unpaid bills on the day it was asked.
    """

    code = models.CharField(max_length=12, unique=True)
    store = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="questions")
    on = models.DateField()
    said = MoneyField()
    papers = MoneyField()
    text = models.CharField(max_length=600)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_on = models.DateField()
    answer = models.CharField(max_length=300, blank=True)
    answered_on = models.DateField(null=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-asked_on", "-code"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(said=models.F("papers")), name="statement_question_has_a_difference"
            )
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def apart(self) -> Money:
        """Statement less papers: plus when the store says more."""
        return self.said - self.papers
