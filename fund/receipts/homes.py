"""Where a line of a receipt can go, and what paid for it: two tables from which postings and forms follow."""

from dataclasses import dataclass

from fund.ledger import chart


@dataclass(frozen=True, slots=True)
class Home:
    """``account`` is debited; ``repair`` says whether a repair must be named: "must", "may" or "no"."""

    label: str
    short: str
    account: str
    repair: str
    cost: bool = False  # counts against what was promised to the repair


@dataclass(frozen=True, slots=True)
class Tender:
    """``account`` is credited; ``party`` names on it who is owed: buyer, store or nobody."""

    label: str
    account: str
    party: str = ""


HOMES: dict[str, Home] = {
    "part": Home("a repair: part", "part", chart.PARTS, "must", cost=True),
    "fluid": Home("a repair: fluid or other used-up thing", "fluid", chart.FLUIDS, "must", cost=True),
    "outside": Home("a repair: work by an outside shop", "outside work", chart.OUTSIDE, "must", cost=True),
    "comeback": Home("a comeback: part bought again", "comeback part", chart.COMEBACK, "must", cost=True),
    "mishap": Home(
        "a repair: made good after the crew broke it", "crew error", chart.COMEBACK, "must", cost=True
    ),
    "no_core": Home(
        "a repair: core deposit with no old unit", "deposit, no old unit", chart.PARTS, "must", cost=True
    ),
    "core": Home("core deposit (comes back)", "core deposit", chart.CORES, "may"),
    "shelf": Home("the shelf", "shelf", chart.SHELF, "no"),
    "supplies": Home("shop supplies and waste", "supplies", chart.SUPPLIES, "no"),
    "tool": Home("small tools", "tools", chart.TOOLS, "no"),
    "admin": Home("insurance and other admin", "admin", chart.ADMIN, "no"),
    "personal": Home(
        "personal (the fund does not pay)", "personal, not paid by the fund", chart.DUE_FROM_CREW, "no"
    ),
}
TENDERS: dict[str, Tender] = {
    "own_money": Tender("my own money", chart.OWED_CREW, "buyer"),
    "fund_card": Tender("the fund's card", chart.BANK),
    "petty_cash": Tender("petty cash", chart.PETTY_CASH),
    "supplier_bill": Tender("on the store's account (a bill)", chart.BILLS, "store"),
    "bank_transfer": Tender("bank transfer by the fund", chart.BANK),
    "store_credit": Tender("store credit", chart.STORE_CREDIT, "store"),
    "advance": Tender("money I was given in advance", chart.ADVANCES, "buyer"),
    "given": Tender("my own money, as a gift (none of it back)", chart.GIFTS_GOODS, "buyer"),
}
OWN_POCKET = ("own_money", "given")
"""Paid by a person: what is personal on the paper is then none of the fund's business."""
ISSUE_HOMES = ("part", "fluid", "comeback", "supplies", "tool")
"""What a thing can be taken from the shelf for."""
GOODS = ("part", "fluid", "comeback", "mishap", "supplies", "tool")
"""What can lie on a shelf when it is left over: things, not work, cover or deposits."""
