"""What posting a draft will do, in sentences, before it is done."""

from collections.abc import Mapping
from dataclasses import dataclass

from fund.commitments.queries import allowance
from fund.money import Money, total
from fund.receipts.homes import TENDERS
from fund.receipts.models import Receipt
from fund.receipts.queries import shares_of
from fund.receipts.rules import Share, cost_by_repair, posting
from fund.receipts.rules_counter import above_allowance


def what_posting_does(receipt: Receipt) -> list[str]:
    """One line per effect: who is owed or what pays, each repair, deposits, the shelf, personal things."""
    shares = shares_of(receipt)
    _, owed = posting(
        receipt.tender, receipt.buyer.username, receipt.supplier.name, shares, receipt.credit_used
    )
    told = [_paid(receipt, owed)]
    if receipt.credit_used:
        told.append(f"{receipt.credit_used} of the fund's credit at {receipt.supplier} is used up.")
    told += [charge.words for charge in charges_of(cost_by_repair(shares))]
    told += _by_home(shares, "core", "is a core deposit: it comes back, and is no cost of a repair.")
    told += _by_home(shares, "shelf", "goes onto the shelf at what it cost with its tax.")
    told += _by_home(shares, "personal", _personal(receipt))
    if receipt.tender == "own_money" and receipt.photo_id is None and not receipt.missing:
        told.append("It is paid back when its photo is there, or when the treasurer has looked at the paper.")
    return told


@dataclass(frozen=True, slots=True)
class Charge:
    """A repair that a paper charges, in words; ``why`` is what stops it: above what was approved, tolerance included."""

    repair: str
    words: str
    why: str


def charges_of(costs: Mapping[str, Money]) -> list[Charge]:
    """Each repair's cost against its approval, before anything is booked."""
    found = []
    for code, amount in costs.items():
        now = allowance(code)
        left = now.promised - now.spent - amount
        if left >= Money.zero:
            after = f"{left} of the {now.promised} approved is left then"
        else:
            after = f"that is {-left} above the {now.promised} approved, tolerance {now.tolerance}"
        why = above_allowance(code, now.promised, now.tolerance, now.spent, amount)
        found.append(Charge(code, f"{code} is charged {amount}; {after}.", why))
    return found


def what_stops(receipt: Receipt) -> list[Charge]:
    """The repairs that cannot be charged: asked before the button to post is shown."""
    return [charge for charge in charges_of(cost_by_repair(shares_of(receipt))) if charge.why]


def _paid(receipt: Receipt, owed: Money) -> str:
    if receipt.tender == "own_money":
        return f"The fund will owe {receipt.buyer.label} {owed}."
    if receipt.tender == "supplier_bill":
        return f"The fund will owe {receipt.supplier} {owed}."
    return f"{owed} was paid with {TENDERS[receipt.tender].label}."


def _by_home(shares: list[Share], home: str, words: str) -> list[str]:
    amounts = [share.amount for share in shares if share.home == home]
    return [f"{total(amounts)} {words}"] if amounts else []


def _personal(receipt: Receipt) -> str:
    if receipt.tender == "own_money":
        return "is personal and is not paid back."
    return f"is personal: {receipt.buyer.label} will owe it to the fund."
