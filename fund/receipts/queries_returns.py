from dataclasses import dataclass

from django.db.models import BigIntegerField, F, QuerySet, Sum
from django.db.models.functions import Coalesce

from fund.ledger.chart import STORE_CREDIT
from fund.ledger.models import Line
from fund.money import Money, total
from fund.receipts.models import Receipt
from fund.receipts.models_returns import Claim, ClaimSettlement


def claims() -> QuerySet[Claim]:
    """All claims on stores with how they ended so far (:func:`open_amount`)."""
    return Claim.objects.select_related("store", "receipt", "cost_object").prefetch_related("settlements")


def open_amount(claim: Claim) -> Money:
    """What is still to come of a claim."""
    return claim.amount - total(row.amount for row in claim.settlements.all())


def open_claims() -> QuerySet[Claim]:
    """Claims not ended whole."""
    settled = Coalesce(Sum("settlements__amount"), 0, output_field=BigIntegerField())
    return claims().annotate(ended=settled).filter(ended__lt=F("amount"))


def bill_left(bill: Receipt) -> Money:
    """What is still to be paid of a bill once refunds were set against it."""
    off = ClaimSettlement.objects.filter(bill=bill).aggregate(sum=Sum("amount"))["sum"] or Money.zero
    return bill.owed - off


@dataclass(frozen=True, slots=True)
class Credit:
    """Store credit the fund holds at one store. It is money: it can be spent there and is listed."""

    store: str
    amount: Money


def store_credits() -> list[Credit]:
    """What each store owes the fund in credit, by store. One query."""
    rows = Line.objects.filter(account=STORE_CREDIT).order_by("party").values_list("party")
    return [Credit(party, amount) for party, amount in rows.annotate(sum=Sum("amount")) if amount]
