"""What a posted receipt opens: a clock for each core deposit and a lot for all that goes to the shelf."""

from datetime import timedelta

from fund.ledger.models import Entry
from fund.numbers import next_code
from fund.receipts.in_cost import tax_within
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfLot
from fund.rulebook.queries import rule


def open_cores_and_lots(receipt: Receipt, entry: Entry) -> None:
    """Called by the posting, inside its transaction."""
    days: int = rule("core_days", receipt.on)
    portions = ReceiptPortion.objects.filter(line__receipt=receipt, home__in=("core", "shelf"))
    for portion in portions.select_related("line"):
        if portion.home == "core" and portion.amount:
            CoreDeposit.objects.create(
                code=next_code(CoreDeposit, "code", "K-"),
                portion=portion,
                store=receipt.supplier,
                item=portion.line.text,
                amount=portion.amount,
                tax=tax_within(portion),
                cost_object=portion.cost_object,
                on=receipt.on,
                due_on=receipt.on + timedelta(days=days),
            )
        elif portion.home == "shelf":
            ShelfLot.objects.create(
                code=next_code(ShelfLot, "code", "L-"),
                item=portion.line.text,
                unit=portion.line.unit,
                quantity=portion.quantity,
                cost=portion.amount,
                left_quantity=portion.quantity,
                left_cost=portion.amount,
                on=receipt.on,
                source=receipt.code,
                condition=portion.line.condition,
                portion=portion,
                entry=entry,
            )
