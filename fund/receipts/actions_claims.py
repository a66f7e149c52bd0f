"""What a store owes the fund and how it ends; tax charged in error."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import give_back, spend
from fund.ledger.actions import post
from fund.ledger.chart import COMEBACK
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money, total
from fund.numbers import next_code
from fund.receipts.actions_shelf import move_lot
from fund.receipts.homes import HOMES
from fund.receipts.in_cost import tax_still
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfLot, Supplier
from fund.receipts.models_returns import Claim, ClaimSettlement, PartReturn
from fund.receipts.queries_returns import bill_left
from fund.receipts.rules_returns import ACCOUNT_OF_CLAIM, account_of_end, left_of_claim, settlement_lines
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def settle_claim(
    *,
    by: Person,
    claim: Claim,
    kind: str,
    amount: Money,
    on: date,
    person: Person | None = None,
    bill: Receipt | None = None,
    note: str = "",
) -> ClaimSettlement:
    """End a claim or a part of it: money in the bank, store credit, on a crew member's card, off a bill, kept or refused.

    What the store keeps (restocking) is a loss of the fund and not a cost of the repair; a warranty refused puts the
    part bought again back into its repair. Refuses more than is open, a bill of another store or with less left on it,
    and a day before the claim or still to come.
    """
    require(by, "claim.settle")
    if kind not in dict(ClaimSettlement.KINDS):
        raise BadInput("Say how it ended: money, store credit, a bill, kept by the store, or refused.")
    hold_books()
    claim = Claim.objects.select_related("store").get(pk=claim.pk)
    if not claim.on <= on <= clock.today():
        raise BadInput(f"{claim.code} is of {claim.on}; it cannot have ended on {on}.")
    left_of_claim(claim.amount, [row.amount for row in claim.settlements.all()], amount, claim.code)
    if kind == "crew" and person is None:
        raise BadInput("Say whose card the money went to.")
    if kind == "bill":
        refuse_set_off(claim.store, bill, amount)
    account = account_of_end(claim.kind, kind, claim.cost_object_id is not None)
    crew = person.username if person else ""
    party = {"crew": crew, "store_credit": claim.store.name, "bill": claim.store.name}.get(kind, "")
    text = f"{claim.code} {claim.text} at {claim.store}: {dict(ClaimSettlement.KINDS)[kind]}"
    lines = settlement_lines(
        account, party, claim.account, amount, claim.cost_object_id, claim.store.name, text
    )
    entry = post(by=by, draft=EntryDraft("supplier refund", on, text, lines, claim.code))
    if account == COMEBACK and claim.cost_object_id:
        spend(by=by, cost_object=claim.cost_object_id, amount=amount, entry=entry, settled=True)
    told = f"{claim.code}: {amount} {dict(ClaimSettlement.KINDS)[kind]}."
    record(by=by, action="claim.settle", subject=claim.code, text=told, data={"entry": entry.number})
    return ClaimSettlement.objects.create(
        claim=claim, kind=kind, amount=amount, on=on, entry=entry, bill=bill if kind == "bill" else None, by=by,
        note=note.strip()[:200],
    )  # fmt: skip


def refuse_set_off(store: Supplier, bill: Receipt | None, amount: Money) -> None:
    """Refuse to set what a store owes against no bill, one of another store, a paid one, or one with less left on it."""
    if bill is None or bill.tender != "supplier_bill" or bill.state != "posted":
        raise BadInput("Say which bill of the store it was set against.")
    if bill.supplier_id != store.pk:
        raise BadInput(f"{bill.code} is a bill of {bill.supplier}, not of {store}.")
    if bill.bill_payment_id:
        raise AlreadyDone(f"{bill.code} was paid before.")
    if amount > (left := bill_left(bill)):
        raise BadInput(f"{left} is left to pay of {bill.code}, not {amount}.")


@transaction.atomic
def claim_tax(*, by: Person, receipt: Receipt, on: date, note: str) -> Claim:
    """Claim back the tax of a receipt that should have had none: each repair is charged its share less, and what lies on the
    shelf and the core deposits still out are worth that much less.

    Only the tax that is still there: what went back to the store or to the shelf, was taken from its lot or is an ended core
    took its tax along. Refuses a receipt without tax or claimed before.
    """
    require(by, "receipt.enter")
    hold_books()
    receipt = Receipt.objects.select_related("supplier", "entry").get(pk=receipt.pk)
    if receipt.state != "posted" or receipt.entry is None or not receipt.tax:
        raise NotReady(f"{receipt.code} has no tax in the books.")
    if Claim.objects.filter(receipt=receipt, kind="tax").exists():
        raise AlreadyDone(f"The tax of {receipt.code} was claimed before. Nothing was posted again.")
    if not receipt.on <= on <= clock.today():
        raise BadInput(f"{on} is before the receipt or still to come.")
    portions = list(ReceiptPortion.objects.filter(line__receipt=receipt).select_related("line"))
    still = tax_still(receipt)
    shares = [
        (row, share)
        for row in portions
        if (share := still[row.pk]) and (row.home != "personal" or receipt.tender != "own_money")
    ]
    if not (amount := total(share for _, share in shares)):
        raise NotReady(f"Nothing of the tax of {receipt.code} is still in a cost: it left with its parts.")
    code = next_code(Claim, "code", "B-")
    text = f"Tax of {receipt.code} charged in error by {receipt.supplier}"
    lines = [dr(ACCOUNT_OF_CLAIM["tax"], amount, party=receipt.supplier.name, text=text)]
    lines += [
        cr(HOMES[row.home].account, share, cost_object=row.cost_object_id, text=text) for row, share in shares
    ]
    entry = post(by=by, draft=EntryDraft("return", on, text, lines, code))
    by_repair: dict[str, Money] = {}
    for row, share in shares:
        if row.cost_object_id and HOMES[row.home].cost:
            by_repair[row.cost_object_id] = by_repair.get(row.cost_object_id, Money.zero) + share
    for repair, share in by_repair.items():
        give_back(by=by, cost_object=repair, amount=share, entry=entry, reason=text, of=receipt.entry)
    for row, share in shares:
        _worth_less(row, share)
    PartReturn.objects.bulk_create(
        PartReturn(portion=row, to="tax", quantity=0, amount=share, reason=code, on=on, entry=entry, by=by)
        for row, share in shares
    )
    record(by=by, action="claim.tax", subject=receipt.code, text=f"{code}: {text}, {amount}.")
    return Claim.objects.create(
        code=code, kind="tax", store=receipt.supplier, receipt=receipt, text="tax", account=ACCOUNT_OF_CLAIM["tax"],
        amount=amount, on=on, entry=entry, opened_by=by, note=note.strip()[:200],
    )  # fmt: skip


def _worth_less(portion: ReceiptPortion, tax: Money) -> None:
    """What a portion opened, a lot or a core deposit, holds the claimed tax no more."""
    if portion.home == "shelf":
        move_lot(ShelfLot.objects.get(portion=portion), 0, -tax)
    elif portion.home == "core":
        core = CoreDeposit.objects.get(portion=portion)
        core.amount, core.tax = core.amount - tax, core.tax - tax
        core.save(update_fields=["amount", "tax"])
