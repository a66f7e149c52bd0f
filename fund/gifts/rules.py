"""What a gift is and how it is booked: pure, no database, no clock.

Every amount is a ``Money`` in minor units. A gift is booked at the amount the supporter gave; what a platform
keeps is an expense beside it, and what is given back is on an account of its own, so the net appears only in
the bank. Fees always come out of general money: a restricted gift moves whole.
"""

from collections.abc import Mapping
from datetime import date

from fund.ledger import chart
from fund.ledger.rules import EntryDraft, LineDraft, cr, dr
from fund.money import Money

GENERAL = "general"
# Above it whoever writes a gift down says once more that the amount is right (the figure is ours).
LARGE = Money(1_000_000_00)

PLATFORM, CARD, CASH, CHECK, TRANSFER, GOODS = "platform", "card", "cash", "check", "transfer", "goods"
VIA_CREW, FORGIVEN, CLAIM = "via crew", "forgiven", "claim"
GIFT_KINDS = {
    PLATFORM: "membership platform",
    CARD: "card",
    CASH: "cash",
    CHECK: "check",
    TRANSFER: "bank transfer",
    GOODS: "goods",
    VIA_CREW: "transfer to a crew member's own account",
    FORGIVEN: "loan that was forgiven",
    CLAIM: "money the fund owed, given back",
}
REFUND, CHARGEBACK, RETURNED_CHECK = "refund", "chargeback", "returned check"
DISPUTE_WON, REFUND_FAILED, VOID_COUNT = "dispute won", "refund failed", "void count"
RETURN_KINDS = {
    REFUND: "refund",
    CHARGEBACK: "chargeback",
    RETURNED_CHECK: "returned check",
    DISPUTE_WON: "dispute won",
    REFUND_FAILED: "refund that came back",
    VOID_COUNT: "count that was void",
}
PLATFORM_SIDE, PROCESSING_SIDE, DISPUTE_SIDE = "platform", "processing", "dispute"
FEE_SIDES = {PLATFORM_SIDE: "platform fee", PROCESSING_SIDE: "processing fee", DISPUTE_SIDE: "dispute fee"}
MEMBERSHIP = "membership"
PLATFORM_KINDS = {MEMBERSHIP: "membership platform", CARD: "card processor"}
PERSON, ORGANIZATION = "person", "organization"
SUPPORTER_KINDS = {PERSON: "person", ORGANIZATION: "organization"}

# Where goods that were given land: the shelf, shop supplies or small tools.
GOODS_ACCOUNTS = (chart.SHELF, chart.SUPPLIES, chart.TOOLS)

# US bills and coins, in minor units, largest first. A dollar coin is counted with the dollar bills.
DENOMINATIONS = (10000, 5000, 2000, 1000, 500, 200, 100, 50, 25, 10, 5, 1)


def gift_kind(platform_kind: str) -> str:
    """The kind of a gift that came through a platform of this kind."""
    return PLATFORM if platform_kind == MEMBERSHIP else CARD


def gift_account(kind: str, restricted: bool) -> str:
    """The income account a gift belongs to."""
    if kind == GOODS:
        return chart.GIFTS_GOODS
    return chart.GIFTS_RESTRICTED if restricted else chart.GIFTS


def count_total(denominations: Mapping[int, int]) -> Money:
    """What the counted bills and coins come to; keys are face values in minor units, values how many."""
    return Money(sum(face * pieces for face, pieces in denominations.items()))


def hand_gift_entry(
    *,
    kind: str,
    on: date,
    amount: Money,
    account: str,
    credit: str,
    purpose: str,
    party: str,
    code: str,
    kept_fee: Money = Money.zero,
    benefit: Money = Money.zero,
    holder: str = "",
    cost_object: str | None = None,
) -> EntryDraft:
    """A gift entered by hand: `account` is where it lies now (bank, undeposited, clearing, shelf, supplies).

    `credit` is the income it is, or the liability while it is not ours. `kept_fee` never arrived (the charge of an
    employer's matching service): the gift is whole and the charge a cost. `benefit` is owed to the giver in return.
    `holder` has the money on an account of their own.
    """
    text = f"Gift {code}"
    lines = [
        dr(account, amount - kept_fee, purpose=purpose, text=text, party=holder),
        dr(chart.FEES, kept_fee, purpose=purpose, text="Charge kept by the sender's service"),
        cr(credit, amount - benefit, purpose=purpose, party=party, text=text, cost_object=cost_object),
        cr(chart.BENEFITS, benefit, party=party, text=f"{text}: benefit owed"),
    ]
    return EntryDraft(
        kind="gift", document_date=on, text=f"Gift {code} by {GIFT_KINDS[kind]}", lines=lines, source=code
    )


def count_entry(*, on: date, code: str, place: str, counted: Money, receipts: Money) -> EntryDraft:
    """Cash counted by two. `receipts` is what the receipt book says came in; the difference is over or short."""
    lines = [dr(chart.UNDEPOSITED, counted, text=f"Count {code}")]
    short = receipts - counted
    if short.minor > 0:
        lines.append(dr(chart.OVER_SHORT, short, text="Count is short of the receipt book"))
    elif short.minor < 0:
        lines.append(cr(chart.OVER_SHORT, -short, text="Count is over the receipt book"))
    lines.append(cr(chart.GIFTS, receipts, text=f"Cash gifts, count {code}"))
    return EntryDraft(
        kind="cash count", document_date=on, text=f"Cash counted: {place}", lines=lines, source=code
    )


def deposit_entry(*, on: date, code: str, by_purpose: Mapping[str, Money]) -> EntryDraft:
    """Counts and checks taken to the bank, within each purpose."""
    lines: list[LineDraft] = []
    for purpose, amount in by_purpose.items():
        lines.append(dr(chart.BANK, amount, purpose=purpose, text=f"Deposit {code}"))
        lines.append(cr(chart.UNDEPOSITED, amount, purpose=purpose, text=f"Deposit {code}"))
    return EntryDraft(kind="deposit", document_date=on, text=f"Deposit {code}", lines=lines, source=code)
