"""What stops a draft from being posted, asked one after the other; every refusal leaves the draft as it was."""

from collections.abc import Sequence
from datetime import date

from fund import clock
from fund.access.guards import may, two_people
from fund.access.models import Person
from fund.commitments.queries import ended_on
from fund.ledger.models import CostObject
from fund.ledger.queries import balance
from fund.money import Money
from fund.receipts.gates import pass_gates, pass_uses
from fund.receipts.homes import HOMES, ISSUE_HOMES, TENDERS
from fund.receipts.models import Receipt, ReceiptLine
from fund.receipts.queries import advance_left, missing_in_quarter, money_at_store, same_paper
from fund.receipts.rules import Share, sums_or_explanation, tax_shares
from fund.receipts.rules_counter import MissingLimits, after_end, late_refusal, missing_refusal
from fund.refusal import AlreadyDone, BadInput, NotEnoughMoney, NotReady
from fund.rulebook.queries import rule


def refuse_unfinished(receipt: Receipt, lines: Sequence[ReceiptLine]) -> None:
    if not lines:
        raise BadInput(f"{receipt.code} has no lines yet. Enter what was bought.")
    amounts = [line.amount for line in lines]
    why = sums_or_explanation(amounts, receipt.tax, receipt.total, receipt.freight - receipt.discount)
    if why:
        raise BadInput(why)
    tax_shares(amounts, [line.taxable for line in lines], receipt.tax)


def refuse_second_copy(receipt: Receipt) -> None:
    if receipt.duplicate_reason:
        return
    for other in same_paper(receipt):
        number = f"number {other.number}" if other.number else "without a number"
        mine = f"number {receipt.number}" if receipt.number else "no number"
        unlike = (
            "" if receipt.number == other.number else f" This one has {mine}, which may be the same paper."
        )
        raise AlreadyDone(
            f"{other.supplier}, {number}, {other.on}, {other.total} is {other.code} already,"
            f" entered by {other.entered_by.label}.{unlike} If this is a second purchase, say so on the receipt and why."
        )


def refuse_empty_purse(receipt: Receipt, owed: Money) -> None:
    """Petty cash and store credit can be spent only as far as they reach; the bank is verified by its own room."""
    account = TENDERS[receipt.tender].account
    if receipt.tender == "petty_cash" and owed > (there := balance(account)):
        raise NotEnoughMoney(
            f"Petty cash holds {there} in the books, not {owed}. What paid for this receipt?"
        )
    credit = owed if receipt.tender == "store_credit" else receipt.credit_used
    if credit and credit > (there := money_at_store(receipt.supplier.name)):
        raise NotEnoughMoney(f"{receipt.supplier} owes the fund {there} in store credit, not {credit}.")
    if receipt.tender == "advance" and owed > (there := advance_left(receipt.buyer.username)):
        raise NotEnoughMoney(
            f"{receipt.buyer.label} holds {there} in advance, not {owed}. Enter it as own money; the treasurer sets the advance"
            " against the repayment."
        )


def refuse_out_of_time(by: Person, receipt: Receipt, shares: Sequence[Share]) -> None:
    """Own money handed in too late, and parts bought after the work on their repair ended."""
    if receipt.tender == "own_money":
        handed_in = clock.day_of(receipt.entered_at)
        most = rule("receipts_days", receipt.on)
        owner = may(by, "receipt.late")
        if why := late_refusal(receipt.code, receipt.on, handed_in, most, owner, receipt.late_reason):
            raise NotReady(why)
        if (handed_in - receipt.on).days > most:
            two_people(by, receipt.buyer, "buy and let in a late receipt")
    homes = [(share.home, share.cost_object) for share in shares]
    ended = ended_on({repair for _, repair in homes if repair})
    if refusal := after_end(receipt.on, receipt.tender, homes, ended, receipt.late_reason):
        raise refusal


def refuse_taking(by: Person, home: str, cost_object: str | None, on: date, reason: str) -> None:
    """What stops a thing from being taken from the shelf: a use it cannot have, a repair that ended before, a person who may
    not buy for the repair either.
    """
    if home not in ISSUE_HOMES:
        raise BadInput("Say what it is taken for: a repair, a comeback, or the shop.")
    if HOMES[home].repair == "must" and not CostObject.objects.filter(code=cost_object).exists():
        raise BadInput("Say which repair it is taken for.")
    if HOMES[home].repair == "no" and cost_object:
        raise BadInput("What is taken for the shop is for no single repair.")
    if not cost_object:
        return
    pass_gates([by], [cost_object])
    pass_uses([(cost_object, home)])
    if refusal := after_end(on, "", [(home, cost_object)], ended_on([cost_object]), reason, "taken"):
        raise refusal


def refuse_without_paper(by: Person, receipt: Receipt, lines: Sequence[ReceiptLine]) -> None:
    """A lost receipt needs an approver who is not the claimant, within the limits; a used part bought with cash a witness."""
    if receipt.missing:
        if not may(by, "receipt.approve"):
            raise NotReady(
                f"{receipt.code} has no receipt. The owner or the treasurer looks at the signed statement and posts it."
            )
        two_people(by, receipt.buyer, "buy without a receipt and approve it")
        limits = MissingLimits(
            *(rule(name, receipt.on) for name in ("missing_each", "missing_quarter", "missing_never"))
        )
        earlier = missing_in_quarter(receipt)
        if why := missing_refusal(receipt.total, earlier, limits, may(by, "receipt.late")):
            raise NotReady(why)
    elif needs_witness(receipt, lines):
        if receipt.photo is None or receipt.witness is None:
            raise NotReady(
                "A used part bought with cash on a handwritten bill needs a photo of bill and part, and a second person who"
                " saw it paid."
            )
        two_people(receipt.buyer, receipt.witness, "buy a used part with cash and witness it")
        if by.pk != receipt.witness.pk:
            raise NotReady(
                f"{receipt.witness.label} saw it paid, so {receipt.code} is posted by them, signed in with their own name."
            )


def needs_witness(receipt: Receipt, lines: Sequence[ReceiptLine]) -> bool:
    """Whether it is a used part bought with cash on a handwritten bill. Who saw it paid says so by posting it."""
    handwritten = receipt.tender == "petty_cash" and not receipt.number and not receipt.missing
    return handwritten and any(_is_used(line) for line in lines)


def _is_used(line: ReceiptLine) -> bool:
    return line.condition == "used"


def today_is_late(receipt: Receipt) -> bool:
    """Whether own money was handed in after the fund's days for it."""
    days = (clock.day_of(receipt.entered_at) - receipt.on).days
    return receipt.tender == "own_money" and days > rule("receipts_days", min(receipt.on, clock.today()))
