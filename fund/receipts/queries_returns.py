from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import BigIntegerField, F, QuerySet, Sum
from django.db.models.functions import Coalesce

from fund.ledger.chart import STORE_CREDIT
from fund.ledger.models import Line
from fund.money import Money, total
from fund.receipts.models import CoreReturn, Receipt
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


def set_off(bills: QuerySet[Receipt] | Sequence[Receipt], by: str = "bill") -> dict[int, Money]:
    """What was set against bills, refunds and core deposits together, by the key of the bill, or of its store
    (``bill__supplier``). One query.
    """
    found: dict[int, Money] = {}
    refunds = ClaimSettlement.objects.filter(bill__in=bills).order_by().values_list(by)
    cores = CoreReturn.objects.filter(bill__in=bills).order_by().values_list(by)
    both = refunds.annotate(sum=Sum("amount")).union(cores.annotate(sum=Sum("amount_back")), all=True)
    for key, amount in both:
        found[key] = found.get(key, Money.zero) + amount
    return found


def bill_left(bill: Receipt) -> Money:
    """What is still to be paid of a bill once refunds and cores were set against it."""
    return bill.owed - set_off([bill]).get(bill.pk, Money.zero)


@dataclass(frozen=True, slots=True)
class Credit:
    """Store credit the fund holds at one store. It is money: it can be spent there and is listed."""

    store: str
    amount: Money


def store_credits() -> list[Credit]:
    """What each store owes the fund in credit, by store. One query."""
    rows = Line.objects.filter(account=STORE_CREDIT).order_by("party").values_list("party")
    return [Credit(party, amount) for party, amount in rows.annotate(sum=Sum("amount")) if amount]
