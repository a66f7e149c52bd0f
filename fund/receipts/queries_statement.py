"""What explains a difference between a store's statement and the papers here."""

from collections.abc import Iterable

from fund.money import Money
from fund.receipts.homes import TENDERS
from fund.receipts.models import Receipt, Supplier
from fund.receipts.queries_returns import open_amount, open_claims, set_off
from fund.receipts.rules_statement import Held


def open_bills(store: Supplier) -> list[Receipt]:
    """Bills of a store that are not paid, oldest first, each with ``left``. Two queries."""
    rows = store.receipts.filter(tender="supplier_bill", state="posted", bill_payment__isnull=True)
    return with_left(rows.select_related("entered_by", "buyer").order_by("on", "code"))


def with_left(bills: Iterable[Receipt]) -> list[Receipt]:
    """Each bill with ``left``: what is to pay once refunds and cores were set against it. One query for all of them."""
    rows = list(bills)
    off = set_off(rows)
    for row in rows:
        row.left = row.owed - off.get(row.pk, Money.zero)  # type: ignore[attr-defined]
    return rows


def held(bills: Iterable[Receipt]) -> list[Held]:
    return [Held(row.code, row.number, row.on, row.left) for row in bills]  # type: ignore[attr-defined]


def explanations(store: Supplier, amount: Money) -> list[str]:
    """What here has just this amount at that store and could be the missing paper, or the credit. Three queries."""
    size = abs(amount)
    if not size:
        return []
    rows = store.receipts.filter(total=size).exclude(state="reversed").select_related("buyer").order_by("-on")
    told = [_explained(row) for row in rows[:5] if row.state == "draft" or row.tender != "supplier_bill"]
    told += [
        f"{row.code} of {row.on}, {row.total}, was paid before: the statement may be older than the payment."
        for row in rows[:5]
        if row.state == "posted" and row.bill_payment_id
    ]
    claims = [claim for claim in open_claims().filter(store=store) if open_amount(claim) == size]
    told += [
        f"{claim.code}, {claim.text}: {size} is due from the store and not on the statement yet."
        for claim in claims
    ]
    cores = store.cores.filter(amount=size, returned=None).order_by("on", "pk")[:5]
    told += [
        f"{core.code}, core of {core.item}: {size} is still out here. Was it brought back and credited on the account?"
        for core in cores
    ]
    return told


def _explained(row: Receipt) -> str:
    if row.state == "draft":
        return f"{row.code} of {row.on}, {row.total}, is a draft of {row.buyer.label} and not posted yet."
    paid = TENDERS[row.tender].label
    return f"{row.code} of {row.on}, {row.total}, was entered as paid with {paid}: was it put on the account instead?"
