"""What a count of the shelf changes, asked by the action and by the page before it alike."""

from collections.abc import Mapping
from datetime import date

from django.db.models import Max, Sum

from fund import clock
from fund.money import Money
from fund.receipts.models import ShelfCount, ShelfIssue, ShelfLot
from fund.receipts.models_returns import PartReturn
from fund.receipts.rules_shelf import Left, Take, count_difference
from fund.refusal import BadInput


def changes_of_count(counted: Mapping[ShelfLot, int], on: date) -> dict[ShelfLot, Take]:
    """The change (thousandths and cost, minus when short) for each lot that was counted on a day. Three queries.

    What is there today can be compared only with a count after the lot's last move, so an older one is refused; so are a
    day before the lot came or still to come, and more than came less what was taken or went back to its store.
    """
    gone = {
        pk: (quantity, cost, last)
        for pk, quantity, cost, last in ShelfIssue.objects.filter(lot__in=list(counted))
        .order_by()
        .values_list("lot")
        .annotate(q=Sum("quantity"), a=Sum("amount"), last=Max("on"))
    }
    rows = ShelfCount.objects.filter(lot__in=list(counted)).order_by()
    before = dict(rows.values_list("lot").annotate(last=Max("on")))
    claimed = PartReturn.objects.filter(to="tax", portion__lot__in=list(counted)).order_by()
    taxes = dict(claimed.values_list("portion__lot").annotate(sum=Sum("amount")))
    changes = {}
    for lot, found in counted.items():
        quantity, cost, taken_on = gone.get(lot.pk, (0, Money.zero, lot.on))
        _refuse_day(lot, on, max(taken_on, before.get(lot.pk, lot.on)))
        worth = lot.cost - cost - (taxes.get(lot.pk) or Money.zero)
        most = Left(lot.code, lot.quantity - quantity, worth)
        left = Left(lot.code, lot.left_quantity, lot.left_cost)
        changes[lot] = count_difference(left, most, lot.quantity, found)
    return changes


def _refuse_day(lot: ShelfLot, on: date, last: date) -> None:
    if not lot.on <= on <= clock.today():
        raise BadInput(f"{lot.code} came on {lot.on}; it cannot have been counted on {on}.")
    if on < last:
        raise BadInput(
            f"{lot.code} was taken from or counted on {last}, so a count of {on} says nothing about what is there now."
            " Count it again."
        )
