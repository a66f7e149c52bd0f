"""What of a bought thing is still in the cost that it went to. All that lowers a cost asks here and takes no more than that."""

from collections.abc import Iterable

from fund.money import Money, split
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfLot
from fund.receipts.models_returns import PartReturn
from fund.receipts.rules_returns import InCost, still_in_cost


def in_cost(portion: ReceiptPortion) -> InCost:
    """Of one portion. Of stock, what is left of its lot, whose tax is not told apart."""
    if portion.home == "shelf":
        lot = ShelfLot.objects.get(portion=portion)
        return InCost(lot.left_quantity, lot.left_cost, Money.zero)
    return _still([portion])[portion.pk]


def in_cost_of(receipt: Receipt) -> dict[int, InCost]:
    """Of each portion of a receipt that is not stock, by its key."""
    return _still(ReceiptPortion.objects.filter(line__receipt=receipt).exclude(home="shelf"))


def _still(portions: Iterable[ReceiptPortion]) -> dict[int, InCost]:
    """Three queries, however many portions."""
    portions = list(portions)
    taxes = _taxes(portions)
    left: dict[int, list[tuple[str, int, Money]]] = {}
    rows = PartReturn.objects.filter(portion__in=portions).order_by("pk")
    for pk, way, quantity, amount in rows.values_list("portion", "to", "quantity", "amount"):
        left.setdefault(pk, []).append((way, quantity, amount))
    return {
        row.pk: still_in_cost(
            InCost(row.quantity, row.amount - taxes[row.pk], taxes[row.pk]), left.get(row.pk, [])
        )
        for row in portions
    }


def _taxes(portions: Iterable[ReceiptPortion]) -> dict[int, Money]:
    """The tax within each portion: that of its line, by quantity over all the line's portions, so that no cent is told twice."""
    rows = ReceiptPortion.objects.filter(line__in={portion.line_id for portion in portions})
    by_line: dict[int, list[ReceiptPortion]] = {}
    for row in rows.select_related("line").order_by("line", "pk"):
        by_line.setdefault(row.line_id, []).append(row)
    taxes: dict[int, Money] = {}
    for parts in by_line.values():
        shares = split(parts[0].line.tax_share, [row.quantity for row in parts])
        taxes |= {row.pk: min(share, row.amount) for row, share in zip(parts, shares, strict=True)}
    return taxes


def tax_still(receipt: Receipt) -> dict[int, Money]:
    """The tax still within each portion of a receipt, by its key: of a lot that of what is left of it, of a core deposit
    that of one still out.
    """
    still = {pk: row.tax for pk, row in in_cost_of(receipt).items()}
    stock = list(ReceiptPortion.objects.filter(line__receipt=receipt, home="shelf"))
    taxes = _taxes(stock)
    for lot in ShelfLot.objects.filter(portion__in=stock):
        assert lot.portion_id is not None
        share = split(taxes[lot.portion_id], [lot.left_quantity, lot.quantity - lot.left_quantity])[0]
        still[lot.portion_id] = min(share, lot.left_cost)
    for portion, ended in CoreDeposit.objects.filter(portion__line__receipt=receipt).values_list(
        "portion", "returned"
    ):
        if ended:
            still[portion] = Money.zero
    return still


def tax_within(portion: ReceiptPortion) -> Money:
    """The tax within what a portion cost when it was bought."""
    return _taxes([portion])[portion.pk]
