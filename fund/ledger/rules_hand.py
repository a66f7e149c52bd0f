"""What may be posted by hand: only accounts that no room keeps. Pure."""

from collections.abc import Collection, Sequence

from fund.ledger import chart
from fund.ledger.rules import LineDraft
from fund.refusal import BadInput

HAND = "by hand"
HAND_ACCOUNTS = (
    chart.BANK,
    chart.NET_FREE,
    chart.NET_SET_ASIDE,
    chart.SUNDRY,
    chart.INTEREST,
    chart.EXCHANGE,
    chart.SUPPLIES,
    chart.TOOLS,
    chart.BANK_FEES,
    chart.OVER_SHORT,
    chart.FRAUD,
    chart.BENEFIT_COST,
    chart.ADMIN,
)
"""The others are each kept by a room, whose own list must agree with them to the cent (gifts, clearing, refundable and
unidentified gifts, benefits and loans by Gifts, cores, shelf, bills and the cost of repairs by Receipts, what crew
members are owed by Repayments, labor by Hours)."""


def check_hand_lines(lines: Sequence[LineDraft], restricted: Collection[str]) -> None:
    """Refuse an account that a room keeps, and restricted money. Whether the lines balance the posting itself says.

    ``restricted`` are the codes of the purposes that givers bound money to. One person who could move their money here
    could free it, under any of the accounts.
    """
    bound = sorted({line.purpose for line in lines if line.purpose in restricted})
    if bound or any(line.account == chart.NET_RESTRICTED for line in lines):
        named = f" ({', '.join(bound)})" if bound else ""
        raise BadInput(
            f"Restricted money{named} is not moved by hand. What it is for is changed by two people: one asks and another"
            " decides, in the room Gifts under “Changes of restricted money”. New restricted money is recorded there as a gift."
        )
    kept = sorted({line.account for line in lines if line.account not in HAND_ACCOUNTS})
    if kept:
        raise BadInput(
            f"Account {', '.join(kept)} is kept by its own room and is not posted to by hand. Record the gift, receipt,"
            " repayment or hours there, and the entry follows."
        )
