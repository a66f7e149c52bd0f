"""What a receipt must be, and how its tax and its lines are shared out. Pure: no database, no clock."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any

from fund.ledger.chart import DUE_FROM_CREW, STORE_CREDIT
from fund.ledger.rules import LineDraft, cr, dr
from fund.money import Money, split, total
from fund.receipts.homes import HOMES, OWN_POCKET, TENDERS
from fund.receipts.quantities import CONDITIONS, UNITS
from fund.refusal import BadInput


@dataclass(frozen=True, slots=True)
class PortionInput:
    """``quantity`` in thousandths; None takes what the line's other portions leave."""

    home: str
    cost_object: str | None = None
    quantity: int | None = None


@dataclass(frozen=True, slots=True)
class LineInput:
    """One printed line: ``amount`` before tax for the whole ``quantity`` (thousandths of ``unit``)."""

    text: str
    amount: Money
    portions: Sequence[PortionInput]
    taxable: bool = True
    quantity: int = 1000
    unit: str = "each"
    condition: str = "-"


@dataclass(frozen=True, slots=True)
class ReceiptInput:
    """A receipt as read off the paper. ``buyer`` is the Person who paid at the counter."""

    store: str
    number: str
    on: date
    total: Money
    tax: Money
    tender: str
    buyer: Any
    lines: Sequence[LineInput] = field(default_factory=tuple)
    at_time: time | None = None
    card_last4: str = ""
    note: str = ""
    duplicate_reason: str = ""
    late_reason: str = ""
    freight: Money = Money.zero
    discount: Money = Money.zero
    credit_used: Money = Money.zero
    missing: bool = False
    missing_how: str = ""
    witness: Any = None


@dataclass(frozen=True, slots=True)
class Share:
    """A portion with its money: ``quantity`` in thousandths, ``amount`` including its share of the tax."""

    home: str
    cost_object: str | None
    quantity: int
    amount: Money
    text: str = ""


def tax_shares(amounts: Sequence[Money], taxable: Sequence[bool], tax: Money) -> list[Money]:
    """The printed tax over the taxable lines by largest remainder, ties to the first line; others get none."""
    weights = [amount.minor if yes else 0 for amount, yes in zip(amounts, taxable, strict=True)]
    if tax and not any(weights):
        raise BadInput(
            f"The receipt has tax of {tax}, but no line is marked as taxed. Mark the lines it is on."
        )
    return split(tax, weights)


def extra_shares(lines: Sequence[LineInput], freight: Money, discount: Money) -> list[Money]:
    """Shipping (+) and a discount on the whole paper (-) over the lines by their amounts, each by largest remainder.

    Core deposits take no part in either. Refuses either when there is no line to carry it, and a discount above the lines.
    """
    weights = [
        0 if all(part.home == "core" for part in line.portions) else line.amount.minor for line in lines
    ]
    if (freight or discount) and not any(weights):
        raise BadInput(
            "Shipping and discount are spread over the lines by their amounts; there is no such line yet."
        )
    if discount.minor > sum(weights) + freight.minor:
        raise BadInput(f"A discount of {discount} is more than the lines themselves.")
    plus, minus = split(freight, weights), split(discount, weights)
    return [more - less for more, less in zip(plus, minus, strict=True)]


def portions_of(line: LineInput, tax_share: Money) -> list[Share]:
    """A line with its tax, shared over its portions by quantity (largest remainder).

    12 quarts of coolant at 113.88 with 9.39 of the tax, 9 to the job and 3 to the shelf: 92.45 and 30.82.
    """
    quantities = whole_quantities(line)
    amounts = split(line.amount + tax_share, quantities)
    return [
        Share(portion.home, portion.cost_object, quantity, amount, line.text)
        for portion, quantity, amount in zip(line.portions, quantities, amounts, strict=True)
    ]


def whole_quantities(line: LineInput) -> list[int]:
    """The quantity of each portion; they add up to the line's. Refuses anything else, and an empty portion."""
    named = sum(portion.quantity or 0 for portion in line.portions)
    open_ones = [portion for portion in line.portions if portion.quantity is None]
    rest = line.quantity - named
    if len(open_ones) > 1:
        raise BadInput(f"“{line.text}”: say how much goes where; only one part may be left open.")
    if (open_ones and rest <= 0) or (not open_ones and rest):
        raise BadInput(f"“{line.text}”: the parts must add up to what was bought.")
    return [rest if portion.quantity is None else portion.quantity for portion in line.portions]


def sums_or_explanation(
    amounts: Sequence[Money], tax: Money, receipt_total: Money, extra: Money = Money.zero
) -> str:
    """Empty when lines + tax = total; else the sentence for the person, with a guess at the reason.

    ``extra`` is shipping less discount on the whole paper; it counts with the lines.
    """
    lines = total(amounts) + extra
    off = receipt_total - lines - tax
    if not off:
        return ""
    sentence = f"Lines {lines} + tax {tax} = {lines + tax}, the receipt says {receipt_total}:"
    if off > Money.zero:
        return f"{sentence} {off} unexplained. {_why_more(off, tax)}"
    return f"{sentence} {-off} too much in the lines. {_why_less(-off, amounts, tax)}"


def _why_more(off: Money, tax: Money) -> str:
    if off == tax and tax:
        return "Is there a second tax line?"
    if off <= Money(1000):
        return "A disposal fee?"
    return "A line not entered yet, a core deposit, or shipping?"


def _why_less(off: Money, amounts: Sequence[Money], tax: Money) -> str:
    if off == tax:
        return "Is the tax already inside the lines?"
    if off in amounts:
        return "Is a line entered twice?"
    # A difference that 9 divides is the old sign of two digits swapped.
    return "Two digits swapped?" if off.minor % 9 == 0 else "A discount? Enter what was paid for the line."


def verify(data: ReceiptInput, today: date) -> None:
    """Refuse what no receipt can be. That the sums tie is asked later, on posting: a draft may be unfinished."""
    if not data.store.strip():
        raise BadInput("Say which store the receipt is from.")
    if data.on > today:
        raise BadInput(
            f"The receipt is dated {data.on}, which is still to come. Look at the date on the paper."
        )
    if data.total <= Money.zero:
        raise BadInput("The total of a receipt is more than 0.00.")
    if data.tax < Money.zero:
        raise BadInput("The tax of a receipt cannot be less than 0.00.")
    if data.tender not in TENDERS:
        raise BadInput("Say what paid for it.")
    if data.card_last4 and not (len(data.card_last4) == 4 and data.card_last4.isdecimal()):
        raise BadInput("Of the card, write the last four digits only.")
    if data.freight < Money.zero or data.discount < Money.zero:
        raise BadInput("Write shipping and discount without a minus sign.")
    _verify_credit(data)
    if data.missing and not data.missing_how.strip():
        raise BadInput("Say how the receipt was lost, and how what was paid is known.")
    for line in data.lines:
        _verify_line(line)


def _verify_credit(data: ReceiptInput) -> None:
    """Store credit beside another way of paying, on one paper."""
    if data.credit_used < Money.zero:
        raise BadInput("Write the store credit used without a minus sign.")
    if data.credit_used and (data.tender == "store_credit" or data.credit_used >= data.total):
        raise BadInput(
            "When store credit paid for all of it, choose it under “Paid with” and leave “Store credit used” empty."
        )


def _verify_line(line: LineInput) -> None:
    if not line.text.strip():
        raise BadInput(f"Say what the line of {line.amount} is.")
    if line.amount < Money.zero:
        raise BadInput(f"“{line.text}” is less than 0.00. Take a discount off the line it belongs to.")
    if line.quantity <= 0 or line.unit not in UNITS or line.condition not in CONDITIONS:
        raise BadInput(f"“{line.text}”: the quantity, unit or condition cannot be right.")
    if not line.portions:
        raise BadInput(f"Say where “{line.text}” goes: a repair, the shelf, supplies or another place.")
    for portion in line.portions:
        if portion.home not in HOMES:
            raise BadInput(f"Say where “{line.text}” goes: a repair, the shelf, supplies or another place.")
        if HOMES[portion.home].repair == "must" and not portion.cost_object:
            raise BadInput(f"Say which repair “{line.text}” is for.")
        if HOMES[portion.home].repair == "no" and portion.cost_object:
            raise BadInput(
                f"“{line.text}” goes to {HOMES[portion.home].label}, so it is for no single repair."
            )
    whole_quantities(line)


def posting(
    tender: str, buyer: str, store: str, shares: Sequence[Share], credit: Money = Money.zero
) -> tuple[list[LineDraft], Money]:
    """The lines of the entry, and what the tender's account is credited: all of it less the store ``credit`` used
    (below zero when that is more than the fund's part, which posting refuses).

    Personal things bought with one's own money are simply not paid. Bought with the fund's money in any form, they
    are owed by the buyer. ``buyer`` is a sign-in name, ``store`` a supplier's name: the parties in the books.
    """
    paid_back = [share for share in shares if share.home != "personal" or tender not in OWN_POCKET]
    owed = total(share.amount for share in paid_back) - credit
    lines = [
        dr(
            HOMES[share.home].account,
            share.amount,
            cost_object=share.cost_object,
            text=f"Crew error: {share.text}" if share.home == "mishap" else share.text,
            party=buyer if HOMES[share.home].account == DUE_FROM_CREW else "",
        )
        for share in paid_back
    ]
    party = {"buyer": buyer, "store": store[:60]}.get(TENDERS[tender].party, "")
    if credit:
        lines.append(cr(STORE_CREDIT, credit, party=store[:60], text=TENDERS["store_credit"].label))
    if not owed:
        return lines, owed
    return [*lines, cr(TENDERS[tender].account, owed, party=party, text=TENDERS[tender].label)], owed


def cost_by_repair(shares: Sequence[Share]) -> dict[str, Money]:
    """What each repair is charged; core deposits are not a cost."""
    costs: dict[str, Money] = {}
    for share in shares:
        if share.cost_object and HOMES[share.home].cost:
            costs[share.cost_object] = costs.get(share.cost_object, Money.zero) + share.amount
    return costs
