"""How a gift stands: with the fund, going back, or not the fund's yet. Pure."""

from collections.abc import Sequence

from fund.gifts.rules import CHARGEBACK, RETURNED_CHECK, VOID_COUNT
from fund.gifts.rules_returns import OPEN
from fund.gifts.rules_terms import SHARE
from fund.money import Money, total

STANDING, REFUNDABLE, IN_DISPUTE = "standing", "refundable", "in dispute"
REFUNDED, CHARGED_BACK, RETURNED = "refunded", "charged back", "returned"
PARTLY, TESTED, VOID = "partly refunded", "card testing", "void"
STATES = {
    STANDING: "stands",
    REFUNDABLE: "not ours yet",
    IN_DISPUTE: "in dispute",
    REFUNDED: "refunded",
    CHARGED_BACK: "charged back",
    RETURNED: "returned by the bank",
    PARTLY: "partly refunded",
    TESTED: "card testing",
    VOID: "void",
}
Back = tuple[str, Money, str]
"""What went back: its kind, the amount (negative when it came back again), how a chargeback stands."""


def state_of(amount: Money, waits: bool, testing: bool, returns: Sequence[Back]) -> str:
    """The state of a gift of ``amount``. ``waits`` says that it is not settled yet whether the money is ours."""
    gone = total(back for _, back, _ in returns)
    if testing:
        return TESTED
    if any(outcome == OPEN for _, _, outcome in returns):
        return IN_DISPUTE
    if gone >= amount and gone.minor > 0:
        last = [kind for kind, back, _ in returns if back.minor > 0][-1]
        return {CHARGEBACK: CHARGED_BACK, RETURNED_CHECK: RETURNED, VOID_COUNT: VOID}.get(last, REFUNDED)
    if waits:
        return REFUNDABLE
    return PARTLY if gone.minor > 0 else STANDING


def why_no_letter(state: str, nature: str, named: bool) -> str:
    """Why a gift has no place in a letter; empty when it has one."""
    if nature == SHARE:
        return "A household's share of its own repair is not a gift."
    if state in (REFUNDABLE, IN_DISPUTE):
        return f"It is {STATES[state]}: no letter until that is settled."
    if state not in (STANDING, PARTLY):
        return f"It was {STATES[state]}." if state != TESTED else "It was somebody trying out a stolen card."
    return "" if named else "Nobody is named as its giver."
