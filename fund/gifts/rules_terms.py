"""What kind of money a gift is: ours at once, ours once something happens, or not a gift at all. Pure."""

from fund.gifts.rules import gift_account
from fund.ledger import chart

GIFT = "gift"
CONDITIONAL, EARMARKED, UNIDENTIFIED = "conditional", "earmarked", "unidentified"
SHARE, TIP = "household share", "tip"
NATURES = {
    GIFT: "gift",
    CONDITIONAL: "gift with a condition",
    EARMARKED: "meant for a named person",
    UNIDENTIFIED: "deposit from nobody known",
    SHARE: "household's share of its own repair",
    TIP: "tip handed to the crew",
}
WAITING = (CONDITIONAL, EARMARKED, UNIDENTIFIED)
"""Money that lies in the bank and is not the fund's yet."""
OURS_AT_ONCE = (GIFT, TIP)
UNNAMED = (UNIDENTIFIED, SHARE, TIP)
"""Natures that may come without a supporter."""

MET, AGREED, IDENTIFIED, SENT_BACK = "met", "agreed", "identified", "sent back"
OUTCOMES = {
    MET: "the condition is met",
    AGREED: "the giver agrees in writing to general use",
    IDENTIFIED: "the giver is known",
    SENT_BACK: "the money went back",
}
KEEPS = {CONDITIONAL: MET, EARMARKED: AGREED, UNIDENTIFIED: IDENTIFIED}
"""The outcome that makes each waiting nature a gift."""
RESOLVE_DAYS = 30  # an unknown deposit is looked into for so long (common practice)


def account_of(nature: str, kind: str, restricted: bool) -> str:
    """Where a gift of this nature is credited when it comes in."""
    if nature in (CONDITIONAL, EARMARKED):
        return chart.REFUNDABLE
    if nature == UNIDENTIFIED:
        return chart.UNIDENTIFIED
    if nature == SHARE:
        return chart.HOUSEHOLD_SHARE
    return gift_account(kind, restricted)
