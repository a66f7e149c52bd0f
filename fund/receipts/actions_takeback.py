from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import give_back
from fund.ledger.actions import post, reverse
from fund.ledger.chart import DUE_FROM_CREW, STORE_CREDIT
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import total
from fund.receipts.homes import HOMES
from fund.receipts.in_cost import in_cost_of
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.models_returns import PartReturn
from fund.receipts.queries import shares_of
from fund.receipts.rules import cost_by_repair
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def take_back(*, by: Person, receipt: Receipt, reason: str) -> Receipt:
    """Cancel a posted receipt that was entered wrongly, by a reversing entry of today. It can then be entered anew.

    What it promised is promised again; its untouched lots and open cores go with it. Refuses a receipt that is a draft,
    already paid to its buyer or its store, or whose lots were touched, cores ended or parts brought back: those need a
    correcting entry in the books. Restricted money it had released goes back to its restriction.
    """
    require(by, "receipt.correct")
    hold_books()
    receipt = Receipt.objects.select_related("entry", "supplier").get(pk=receipt.pk)
    if receipt.state != "posted" or receipt.entry is None:
        raise AlreadyDone(f"{receipt.code} is not in the books, so there is nothing to take back.")
    _refuse_used(receipt)
    mirror = reverse(by=by, entry=receipt.entry, reason=f"{receipt.code} entered wrongly: {reason.strip()}")
    for cost_object, amount in cost_by_repair(shares_of(receipt)).items():
        if amount:
            words = f"{receipt.code} taken back: {reason.strip()}"
            give_back(
                by=by,
                cost_object=cost_object,
                amount=amount,
                entry=mirror,
                reason=words[:300],
                of=receipt.entry,
            )
    CoreDeposit.objects.filter(portion__line__receipt=receipt).delete()
    ShelfLot.objects.filter(portion__line__receipt=receipt).delete()
    receipt.state = "reversed"
    receipt.save(update_fields=["state"])
    text = f"{receipt.code} taken back by entry {mirror.number}: {reason.strip()}"
    record(by=by, action="receipt.take_back", subject=receipt.code, text=text, data={"entry": mirror.number})
    return receipt


def _refuse_used(receipt: Receipt) -> None:
    if hasattr(receipt, "repayment_item"):
        raise NotReady(
            f"{receipt.code} is in a repayment to its buyer. Cancel that first, or correct it in the books."
        )
    if receipt.bill_payment_id:
        raise NotReady(
            f"{receipt.code} has been paid to {receipt.supplier}. Correct it by an entry in the books."
        )
    if PartReturn.objects.filter(portion__line__receipt=receipt).exists() or receipt.claims.exists():
        raise NotReady(
            f"Something of {receipt.code} went back to its store. Correct it by an entry in the books."
        )
    if receipt.offsets.exists() or receipt.core_offsets.exists():
        raise NotReady(f"A refund was set against {receipt.code}. Correct it by an entry in the books.")
    for lot in ShelfLot.objects.filter(portion__line__receipt=receipt):
        if lot.issues.exists() or lot.counts.exists():
            raise NotReady(
                f"{lot.code} of this receipt has been used or counted. Correct it by an entry in the books."
            )
    ended = CoreDeposit.objects.filter(portion__line__receipt=receipt, returned__isnull=False).first()
    if ended:
        raise NotReady(
            f"{ended.code} of this receipt has been returned. Correct it by an entry in the books."
        )


def _refuse_day(receipt: Receipt, on: date | None) -> None:
    if on is not None and not receipt.on <= on <= clock.today():
        raise BadInput(f"{on} is before the receipt or still to come.")


@transaction.atomic
def recover_paid_twice(*, by: Person, receipt: Receipt, reason: str, on: date | None = None) -> Entry:
    """A receipt found to be a second copy after it was paid back: its buyer owes the money, the repairs are free of it.

    Refuses one not paid back yet (take it back instead), one whose core deposits or stock are in use, and one of whose cost
    anything has left.
    """
    require(by, "receipt.correct")
    hold_books()
    receipt = Receipt.objects.select_related("entry", "buyer").get(pk=receipt.pk)
    _refuse_day(receipt, on)
    if receipt.state != "posted" or receipt.entry is None or receipt.tender != "own_money":
        raise NotReady(f"{receipt.code} is no receipt that was paid back to a crew member.")
    item = getattr(receipt, "repayment_item", None)
    if item is None:
        raise NotReady(f"{receipt.code} has not been paid back yet. Take it back instead.")
    if item.repayment.state != "released":
        raise NotReady(
            f"{receipt.code} is in {item.repayment.code}, which is not released. Cancel that instead."
        )
    if not reason.strip():
        raise BadInput("Say which receipt it is a copy of.")
    shares = [share for share in shares_of(receipt) if share.home != "personal"]
    if any(share.home in ("core", "shelf") for share in shares):
        raise NotReady(
            f"{receipt.code} has stock or core deposits on it. Correct it by an entry in the books."
        )
    if total(still.cost for still in in_cost_of(receipt).values()) != receipt.total:
        raise NotReady(
            f"Something of {receipt.code} went back, was claimed or came as a rebate, so its cost is no longer what was paid."
            " Correct it by an entry in the books."
        )
    text = f"{receipt.code} was paid twice: {reason.strip()}"
    lines = [dr(DUE_FROM_CREW, receipt.owed, party=receipt.buyer.username, text=text)]
    if receipt.credit_used:
        lines.append(dr(STORE_CREDIT, receipt.credit_used, party=receipt.supplier.name[:60], text=text))
    lines += [
        cr(HOMES[row.home].account, row.amount, cost_object=row.cost_object, text=text) for row in shares
    ]
    entry = post(by=by, draft=EntryDraft("paid twice", on or clock.today(), text, lines, receipt.code))
    for repair, amount in cost_by_repair(shares).items():
        give_back(by=by, cost_object=repair, amount=amount, entry=entry, reason=text[:300], of=receipt.entry)
    receipt.state = "reversed"
    receipt.save(update_fields=["state"])
    record(by=by, action="receipt.paid_twice", subject=receipt.code, text=text, data={"entry": entry.number})
    return entry
