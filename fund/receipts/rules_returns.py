"""What a return does to the books. Pure: no database, no clock."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fund.ledger.chart import (
    ADMIN,
    BANK,
    BILLS,
    CLAIMS,
    COMEBACK,
    DUE_FROM_CREW,
    SHELF_LOSS,
    STORE_CREDIT,
    SUPPLIER_REFUNDS,
)
from fund.ledger.rules import LineDraft, cr, dr
from fund.money import Money, split, total
from fund.receipts.homes import GOODS
from fund.receipts.rules_rate import kind_of
from fund.refusal import BadInput, NotReady

ACCOUNT_OF_CLAIM = {
    "return": SUPPLIER_REFUNDS,
    "tax": SUPPLIER_REFUNDS,
    "warranty": CLAIMS,
    "insurance": CLAIMS,
}
ACCOUNT_OF_SETTLEMENT = {
    "bank": BANK,
    "store_credit": STORE_CREDIT,
    "crew": DUE_FROM_CREW,
    "bill": BILLS,
    "kept": SHELF_LOSS,
}


@dataclass(frozen=True, slots=True)
class InCost:
    """What of a bought thing is still in the cost that it went to: thousandths, and the money without and of the tax."""

    quantity: int
    net: Money
    tax: Money

    @property
    def cost(self) -> Money:
        return self.net + self.tax


def still_in_cost(came: InCost, left: Iterable[tuple[str, int, Money]]) -> InCost:
    """``came`` less what left it since: (way of ``PartReturn``, thousandths, money with tax), in the order it happened.

    A part takes its share of the tax along; a tax claim is tax alone; a rebate or an insurer's money is for the price, and
    of the tax only what it is above that.
    """
    quantity, net, tax = came.quantity, came.net, came.tax
    for way, some, amount in left:
        if way == "replaced":
            continue
        if way == "tax":
            of_tax = amount
        elif some:
            of_tax = split(tax, [some, quantity - some])[0]
        else:
            of_tax = max(amount - net, Money.zero)
        quantity, net, tax = quantity - some, net - (amount - of_tax), tax - of_tax
    return InCost(quantity, net, tax)


def cost_of_return(quantity: int, still: InCost, words: str) -> Money:
    """What a quantity going back cost (thousandths), its tax included; the last of it takes the cents that are left."""
    if quantity <= 0:
        raise BadInput("Say how much goes back; it is more than 0.")
    if quantity > still.quantity:
        raise NotReady(f"Of “{words}” {still.quantity / 1000:g} can still go back, not {quantity / 1000:g}.")
    return split(still.cost, [quantity, still.quantity - quantity])[0]


def no_goods(home: str, text: str) -> str:
    """Why what was bought cannot be put onto the shelf; empty for goods. A fee is none wherever it was booked."""
    if home in GOODS and kind_of(text) != "fee":
        return ""
    return f"“{text}” is no thing that can lie on a shelf. If money comes back for it, it goes back to the store."


def left_of_claim(amount: Money, settled: Sequence[Money], wanted: Money, code: str) -> Money:
    """What is open of a claim after ``wanted``. Refuses more than is open, and nothing."""
    still = amount - total(settled)
    if wanted <= Money.zero:
        raise BadInput("Write how much, more than 0.00.")
    if wanted > still:
        raise BadInput(f"Of {code} {still} is open, not {wanted}.")
    return still - wanted


def account_of_end(claim_kind: str, end: str, for_repair: bool = False) -> str:
    """The account debited when a part of a claim ends. A refused warranty is the cost of the part bought again for its
    repair; on what was for no repair it is a loss.

    What an insurer keeps or refuses is the loss that it was: the crew's error on a repair, or the fund's own.
    """
    if claim_kind == "insurance" and end in ("kept", "refused"):
        return COMEBACK if for_repair else ADMIN
    if end == "refused":
        return COMEBACK if claim_kind == "warranty" and for_repair else SHELF_LOSS
    return ACCOUNT_OF_SETTLEMENT[end]


def settlement_lines(
    account: str, party: str, claim_account: str, amount: Money, repair: str | None, store: str, text: str
) -> list[LineDraft]:
    """Money, credit or a loss against what the store owed. Only a loss that is a cost of the repair names it."""
    named = repair if account == COMEBACK else None
    return [
        dr(account, amount, party=party, cost_object=named, text=text),
        cr(claim_account, amount, party=store, cost_object=repair, text=text),
    ]
