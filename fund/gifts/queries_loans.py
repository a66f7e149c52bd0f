from typing import Any

from django.db.models import QuerySet, Sum
from django.db.models.functions import Coalesce

from fund.gifts.models import Loan, LoanMove
from fund.money import Money


def loans() -> QuerySet[Any, Any]:
    """All loans with what was repaid or forgiven of each (`gone`)."""
    return Loan.objects.select_related("lender").annotate(gone=Coalesce(Sum("moves__amount"), 0))


def still_owed(loan: Loan) -> Money:
    gone = LoanMove.objects.filter(loan=loan).aggregate(sum=Sum("amount"))["sum"]
    return loan.amount - (gone or Money.zero)
