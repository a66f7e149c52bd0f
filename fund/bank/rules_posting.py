"""What may be posted straight from a line of the bank, and the entry it makes. Pure.

Only what the bank alone knows. Gifts, payouts, bills and repayments are booked in their own rooms, where their papers are.
"""

from dataclasses import dataclass

from fund.ledger.chart import BANK, BANK_FEES, INTEREST, OVER_SHORT, UNIDENTIFIED
from fund.ledger.rules import LineDraft
from fund.money import Money
from fund.refusal import BadInput

IN, OUT, EITHER = 1, -1, 0


@dataclass(frozen=True, slots=True)
class Kind:
    label: str
    account: str
    way: int


UNKNOWN = "unidentified"
KINDS = {
    "charge": Kind("Bank charge", BANK_FEES, OUT),
    "charge back": Kind("Bank charge given back", BANK_FEES, IN),
    "interest": Kind("Interest", INTEREST, IN),
    UNKNOWN: Kind("Deposit nobody knows yet", UNIDENTIFIED, IN),
    "over or short": Kind("Deposit over or short", OVER_SHORT, EITHER),
}


def kinds_for(amount: Money) -> list[tuple[str, str]]:
    """(kind, label) of what a line of this direction may be."""
    way = IN if amount > Money.zero else OUT
    return [(name, kind.label) for name, kind in KINDS.items() if kind.way in (way, EITHER)]


def missing_lines(kind: str, amount: Money, text: str) -> list[LineDraft]:
    """The bank's side first, then the other: charge Dr 5310 / Cr 1000, interest Dr 1000 / Cr 4060, unknown Dr 1000 / Cr 2020."""
    if kind not in KINDS:
        raise BadInput("Say what the line is: a bank charge, interest, or a deposit nobody knows yet.")
    found = KINDS[kind]
    if not amount:
        raise BadInput("A piece of 0.00 cannot be posted.")
    if found.way != EITHER and (amount > Money.zero) != (found.way == IN):
        direction = "money out" if found.way == OUT else "money in"
        raise BadInput(f"“{found.label}” is {direction}, but {amount} went the other way.")
    return [LineDraft(BANK, amount, text=text[:200]), LineDraft(found.account, -amount, text=text[:200])]
