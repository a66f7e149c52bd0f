"""Parts that go back to a store or to the shelf, rebates, and exchanges at no charge."""

from datetime import date

from django.db import transaction
from django.db.models import Sum

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.commitments.actions import give_back
from fund.ledger.actions import post
from fund.ledger.chart import BANK, SHELF
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.numbers import next_code
from fund.receipts.actions_shelf import move_lot
from fund.receipts.homes import HOMES
from fund.receipts.in_cost import in_cost
from fund.receipts.models import ReceiptPortion, ShelfIssue, ShelfLot
from fund.receipts.models_returns import Claim, PartReturn
from fund.receipts.quantities import quantity_words
from fund.receipts.rules_returns import ACCOUNT_OF_CLAIM, InCost, cost_of_return, no_goods
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def return_to_store(
    *, by: Person, portion: ReceiptPortion, quantity: int, on: date, reason: str, warranty: bool = False
) -> Claim:
    """Bring a part (thousandths of its unit) back to its store: its cost leaves the repair or the shelf, the store owes it.

    What is still in the cost is claimed with its tax; what the store keeps is written down when it pays. ``warranty``
    marks a part that failed. Refuses more than has not gone back, a core deposit (which has its own return), a day before it was
    bought or still to come, and an empty reason.
    """
    portion = returnable(by, portion, on, reason)
    line = portion.line
    amount = cost_of_return(quantity, in_cost(portion), line.text)
    if not amount:
        raise NotReady(f"Nothing of what “{line.text}” cost is left, so the store owes nothing for it.")
    kind = "warranty" if warranty else "return"
    receipt = line.receipt
    words = f"{quantity_words(quantity, line.unit)} of {line.text} back to {receipt.supplier}"
    claimed, home = ACCOUNT_OF_CLAIM[kind], HOMES[portion.home]
    repair = portion.cost_object_id
    lines = [
        dr(claimed, amount, party=receipt.supplier.name, cost_object=repair, text=words),
        cr(home.account, amount, cost_object=repair, text=words),
    ]
    code = next_code(Claim, "code", "B-")
    entry = post(by=by, draft=EntryDraft("return", on, words, lines, code))
    _leave(by, portion, quantity, amount, entry, on, reason)
    claim = Claim.objects.create(
        code=code, kind=kind, store=receipt.supplier, receipt=receipt, text=line.text, account=claimed,
        amount=amount, cost_object=portion.cost_object, on=on, entry=entry, opened_by=by, note=reason.strip()[:200],
    )  # fmt: skip
    PartReturn.objects.create(
        portion=portion, to="store", quantity=quantity, amount=amount, reason=reason.strip()[:200], on=on,
        entry=entry, claim=claim, by=by,
    )  # fmt: skip
    told = f"{code}: {words}, {amount} due from the store. {reason.strip()}"
    record(by=by, action="part.to_store", subject=receipt.code, text=told, data={"entry": entry.number})
    return claim


def returnable(by: Person, portion: ReceiptPortion, on: date, reason: str) -> ReceiptPortion:
    """The portion as it is now, with the books held. Refuses what is not posted, a wrong day and an empty reason."""
    require(by, "receipt.enter")
    hold_books()
    portion = ReceiptPortion.objects.select_related("line__receipt__supplier", "line__receipt__entry").get(
        pk=portion.pk
    )
    receipt = portion.line.receipt
    if receipt.state != "posted":
        raise NotReady(f"{receipt.code} is not in the books, so nothing of it can go back.")
    if portion.home in ("core", "personal"):
        raise BadInput("A core deposit ends by its own return; personal things are not the fund's.")
    _refuse_day(on, receipt.on, reason)
    return portion


def _refuse_day(on: date, bought: date, reason: str) -> None:
    if not bought <= on <= clock.today():
        raise BadInput(f"It was bought on {bought}; it cannot have gone back on {on}.")
    if not reason.strip():
        raise BadInput("Say in a few words why it goes back.")


def _leave(
    by: Person, portion: ReceiptPortion, quantity: int, amount: Money, entry: Entry, on: date, reason: str
) -> None:
    """Take the quantity out of the lot, or the cost out of what the repair has spent."""
    if portion.home == "shelf":
        lot = ShelfLot.objects.get(portion=portion)
        move_lot(lot, -quantity, -amount)
        ShelfIssue.objects.create(
            lot=lot, home="store", quantity=quantity, amount=amount, on=on, entry=entry, issued_by=by
        )
    elif portion.cost_object_id and HOMES[portion.home].cost:
        give_back(
            by=by, cost_object=portion.cost_object_id, amount=amount, entry=entry, reason=reason.strip()[:300],
            of=portion.line.receipt.entry,
        )  # fmt: skip


@transaction.atomic
def return_to_shelf(
    *,
    by: Person,
    quantity: int,
    on: date,
    reason: str,
    portion: ReceiptPortion | None = None,
    issue: ShelfIssue | None = None,
) -> ShelfLot:
    """Put a part (thousandths) that was not used onto the shelf at what it cost with its tax: the repair is free of it.

    Either a portion of a receipt or an issue from the shelf. Refuses what ``return_to_store`` refuses, stock, and
    what is no goods: work of an outside shop, a fee, an insurance.
    """
    if issue is not None:
        return _issue_back(by, issue, quantity, on, reason)
    if portion is None:
        raise BadInput("Say what goes back.")
    portion = returnable(by, portion, on, reason)
    if portion.home == "shelf":
        raise BadInput("It lies on the shelf already.")
    line = portion.line
    if why := no_goods(portion.home, line.text):
        raise BadInput(why)
    amount = cost_of_return(quantity, in_cost(portion), line.text)
    words = f"{quantity_words(quantity, line.unit)} of {line.text} back to the shelf"
    entry = _to_shelf(by, HOMES[portion.home].account, amount, portion.cost_object_id, words, on)
    _leave(by, portion, quantity, amount, entry, on, reason)
    lot = _lot_of_return(line.text, line.unit, quantity, amount, on, line.receipt.code, entry, line.condition)
    return _kept(by, lot, quantity, amount, on, reason, entry, portion=portion)


def _issue_back(by: Person, issue: ShelfIssue, quantity: int, on: date, reason: str) -> ShelfLot:
    require(by, "shelf.issue")
    hold_books()
    issue = ShelfIssue.objects.select_related("lot", "entry").get(pk=issue.pk)
    _refuse_day(on, issue.on, reason)
    if issue.home == "store" or issue.entry is None:
        raise BadInput("Only what was taken from the shelf at a cost can come back to it.")
    sums = issue.returns.aggregate(quantity=Sum("quantity"), amount=Sum("amount"))
    still = InCost(
        issue.quantity - (sums["quantity"] or 0), issue.amount - (sums["amount"] or Money.zero), Money.zero
    )
    amount = cost_of_return(quantity, still, issue.lot.item)
    words = f"{quantity_words(quantity, issue.lot.unit)} of {issue.lot.item} back to the shelf"
    entry = _to_shelf(by, HOMES[issue.home].account, amount, issue.cost_object_id, words, on)
    if issue.cost_object_id:
        give_back(
            by=by, cost_object=issue.cost_object_id, amount=amount, entry=entry, reason=reason.strip()[:300],
            of=issue.entry,
        )  # fmt: skip
    lot = _lot_of_return(
        issue.lot.item, issue.lot.unit, quantity, amount, on, issue.lot.code, entry, issue.lot.condition
    )
    return _kept(by, lot, quantity, amount, on, reason, entry, issue=issue)


def _to_shelf(by: Person, account: str, amount: Money, repair: str | None, words: str, on: date) -> Entry:
    if not amount:
        raise BadInput("It cost nothing; count it onto the shelf with its lot instead.")
    lines = [dr(SHELF, amount, text=words), cr(account, amount, cost_object=repair, text=words)]
    return post(by=by, draft=EntryDraft("return", on, words, lines, repair or ""))


def _lot_of_return(
    item: str, unit: str, quantity: int, amount: Money, on: date, source: str, entry: Entry, condition: str
) -> ShelfLot:
    return ShelfLot.objects.create(
        code=next_code(ShelfLot, "code", "L-"), item=item, unit=unit, quantity=quantity, cost=amount,
        left_quantity=quantity, left_cost=amount, on=on, source=source, entry=entry, condition=condition,
    )  # fmt: skip


def _kept(
    by: Person,
    lot: ShelfLot,
    quantity: int,
    amount: Money,
    on: date,
    reason: str,
    entry: Entry,
    **of: ReceiptPortion | ShelfIssue,
) -> ShelfLot:
    PartReturn.objects.create(
        to="shelf", quantity=quantity, amount=amount, reason=reason.strip()[:200], on=on, entry=entry, lot=lot,
        by=by, **of,
    )  # fmt: skip
    told = f"{quantity_words(quantity, lot.unit)} of {lot.item} back on the shelf as {lot.code} at {amount}."
    record(by=by, action="part.to_shelf", subject=lot.code, text=told, data={"entry": entry.number})
    return lot


@transaction.atomic
def book_rebate(*, by: Person, portion: ReceiptPortion, amount: Money, on: date, reason: str) -> PartReturn:
    """Money back for a part that stays (a mail-in rebate, loyalty points): it belongs to the fund and lowers the cost."""
    portion = returnable(by, portion, on, reason)
    left = in_cost(portion).cost
    if not Money.zero < amount <= left or portion.home == "shelf":
        raise BadInput(
            f"A rebate is more than 0.00 and at most what the part cost, {left}; of stock it is income."
        )
    words = f"Rebate on {portion.line.text}"
    repair = portion.cost_object_id
    lines = [
        dr(BANK, amount, text=words),
        cr(HOMES[portion.home].account, amount, cost_object=repair, text=words),
    ]
    entry = post(by=by, draft=EntryDraft("rebate", on, words, lines, portion.line.receipt.code))
    _leave(by, portion, 0, amount, entry, on, reason)
    record(by=by, action="part.rebate", subject=portion.line.receipt.code, text=f"{words}: {amount}.")
    return PartReturn.objects.create(
        portion=portion,
        to="rebate",
        quantity=0,
        amount=amount,
        reason=reason.strip()[:200],
        on=on,
        entry=entry,
        by=by,
    )


@transaction.atomic
def replace_at_no_charge(
    *, by: Person, portion: ReceiptPortion, quantity: int, on: date, reason: str
) -> PartReturn:
    """A part that failed was exchanged by its store for a new one: the quantity is written down, no money moves.

    A new core deposit, if the store asks for one, is a receipt of its own.
    """
    portion = returnable(by, portion, on, reason)
    if not 0 < quantity <= portion.quantity:
        raise BadInput("Exchange at least some and at most what was bought.")
    words = f"{quantity_words(quantity, portion.line.unit)} of {portion.line.text} exchanged at no charge"
    record(
        by=by, action="part.replaced", subject=portion.line.receipt.code, text=f"{words}. {reason.strip()}"
    )
    return PartReturn.objects.create(
        portion=portion,
        to="replaced",
        quantity=quantity,
        amount=Money.zero,
        reason=reason.strip()[:200],
        on=on,
        by=by,
    )
