"""The receipts room proved against the books: lots and cores one by one against the accounts that hold them."""

from collections.abc import Iterator

from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from fund.ledger.chart import CORES, SHELF, SUPPLIER_REFUNDS
from fund.ledger.queries import balance
from fund.money import Money
from fund.receipts.models import CoreDeposit, Receipt, ReceiptLine, ReceiptPortion, ShelfIssue, ShelfLot
from fund.receipts.models_returns import Claim, ClaimSettlement, PartReturn


def breaks() -> list[str]:
    """A sentence for each thing in the room that does not agree; empty when all does."""
    return [*shelf_breaks(), *core_breaks(), *claim_breaks(), *receipt_breaks(), *cost_breaks()]


def shelf_breaks() -> Iterator[str]:
    """The lots left against the shelf's account, and each lot against its issues and counts."""
    lots = ShelfLot.objects.aggregate(sum=Sum("left_cost"))["sum"] or Money.zero
    if lots != (held := balance(SHELF)):
        yield f"The lots left on the shelf cost {lots}, but account {SHELF} holds {held}."
    yield from _lots()


def core_breaks() -> Iterator[str]:
    """The open cores against the account of core deposits."""
    open_cores = (
        CoreDeposit.objects.filter(returned__isnull=True).aggregate(sum=Sum("amount"))["sum"] or Money.zero
    )
    if open_cores != (held := balance(CORES)):
        yield f"The open cores add up to {open_cores}, but account {CORES} holds {held}."


def claim_breaks() -> Iterator[str]:
    """The open claims on stores against the account of refunds due, and no claim settled beyond what it was."""
    settled = dict(ClaimSettlement.objects.order_by().values_list("claim_id").annotate(sum=Sum("amount")))
    rows = list(Claim.objects.filter(account=SUPPLIER_REFUNDS).order_by("code"))
    still = sum(claim.amount.minor - _minor(settled.get(claim.pk)) for claim in rows)
    if Money(still) != (held := balance(SUPPLIER_REFUNDS)):
        yield f"The open claims on stores add up to {Money(still)}, but account {SUPPLIER_REFUNDS} holds {held}."
    for claim in rows:
        if _minor(settled.get(claim.pk)) > claim.amount.minor:
            yield f"{claim.code}: more is settled than was claimed."


def _lots() -> Iterator[str]:
    """What is left of each lot, added up anew from its issues and counts."""
    issued: dict[int, tuple[int, Money]] = {}
    rows = ShelfLot.objects.order_by("pk")
    for pk, quantity, amount in rows.values_list("pk").annotate(
        q=Sum("issues__quantity"), a=Sum("issues__amount")
    ):
        issued[pk] = (quantity or 0, amount or Money.zero)
    claimed = PartReturn.objects.filter(to="tax", portion__lot__isnull=False).order_by()
    taxes = dict(claimed.values_list("portion__lot").annotate(sum=Sum("amount")))
    counted = rows.annotate(q=Coalesce(Sum("counts__quantity"), 0), a=Sum("counts__amount"))
    for lot in counted.iterator():
        quantity, amount = issued[lot.pk]
        if lot.left_quantity != lot.quantity - quantity + lot.q:
            yield f"{lot.code}: what is left is not what came less what was issued."
        if lot.q > 0:
            yield f"{lot.code}: more was taken and is left than ever came."
        if lot.left_cost.minor != (lot.cost - amount).minor + _minor(lot.a) - _minor(taxes.get(lot.pk)):
            yield f"{lot.code}: the cost left is not what it cost less what was issued."


def receipt_breaks() -> Iterator[str]:
    """Each posted receipt: its lines with tax, its portions and its total are one sum."""
    posted = ~Q(receipt__state="draft")
    lines = dict(
        ReceiptLine.objects.filter(posted)
        .order_by()
        .values_list("receipt__code")
        .annotate(sum=Sum(F("amount") + F("tax_share") + F("extra_share")))
    )
    portions = dict(
        ReceiptPortion.objects.filter(~Q(line__receipt__state="draft"))
        .order_by()
        .values_list("line__receipt__code")
        .annotate(sum=Sum("amount"))
    )
    for code, amount in Receipt.objects.exclude(state="draft").order_by("code").values_list("code", "total"):
        if not _minor(lines.get(code)) == _minor(portions.get(code)) == amount.minor:
            yield f"{code}: its lines, its portions and its total differ."


def cost_breaks() -> Iterator[str]:
    """No line of a receipt and nothing taken from the shelf has given back more than it cost; tax claims and lines agree."""
    portions = ReceiptPortion.objects.order_by("pk").annotate(gone=Sum("returns__amount"))
    for portion in portions.filter(gone__gt=F("amount")).select_related("line__receipt"):
        of = f"{portion.line.receipt.code}, “{portion.line.text}” for {portion.cost_object_id or portion.home_words}"
        yield f"{of}: {portion.gone - portion.amount} more was taken off its cost than it was."
    issues = ShelfIssue.objects.order_by("pk").annotate(gone=Sum("returns__amount"))
    for issue in issues.filter(gone__gt=F("amount")).select_related("lot"):
        of = f"{issue.lot.code} taken on {issue.on} for {issue.cost_object_id or 'the shop'}"
        yield f"{of}: {issue.gone - issue.amount} more was put back than it cost."
    taxes = PartReturn.objects.filter(to="tax").order_by().values_list("entry")
    left = dict(taxes.annotate(sum=Sum("amount")))
    for claim in Claim.objects.filter(kind="tax").order_by("code"):
        if _minor(left.get(claim.entry_id)) != claim.amount.minor:
            yield (
                f"{claim.code}: the tax that left its lines is {Money(_minor(left.get(claim.entry_id)))},"
                f" but {claim.amount} was claimed."
            )


def _minor(amount: Money | int | None) -> int:
    return amount.minor if isinstance(amount, Money) else (amount or 0)
