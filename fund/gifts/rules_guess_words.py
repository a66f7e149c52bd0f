"""Words by which platforms tend to call their columns and rows. General words of the trade only; data, no logic."""

import re

from fund.gifts.rules import CHARGEBACK, DISPUTE_WON, REFUND, REFUND_FAILED
from fund.gifts.rules_layout import (
    DECLINED,
    DISPUTE_FEE,
    DISPUTE_FEE_BACK,
    DISPUTE_LOST,
    FEE,
    FEE_BACK,
    GIFT,
    PAYOUT,
    PLATFORM_FEE,
    PROCESSING_FEE,
)

_TOKEN = re.compile(r"[a-z]+|\d+")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")

HEADER_WORDS: dict[str, dict[str, int]] = {
    "ref": {
        "transaction": 4,
        "charge": 3,
        "reference": 3,
        "ref": 3,
        "row": 2,
        "id": 2,
        "no": 2,
        "number": 2,
        "nr": 2,
    },
    "date": {"date": 4, "day": 3, "on": 2, "when": 3, "time": 2, "created": 3, "charged": 2, "timestamp": 3},
    "type": {"type": 5, "kind": 5, "what": 4, "movement": 4, "event": 3, "category": 3, "description": 2},
    "amount": {"amount": 5, "gross": 6, "pledge": 3, "sum": 3, "total": 3, "paid": 2, "value": 2, "given": 2},
    "payout": {"payout": 6, "transfer": 5, "settlement": 5, "batch": 4, "id": 1, "no": 1},
    "net": {"net": 6, "left": 4, "after": 2, "received": 2},
    "gift_ref": {"original": 5, "of": 3, "parent": 5, "refunded": 3, "related": 4, "charge": 1, "id": 1},
    "supporter_id": {"member": 3, "supporter": 3, "donor": 3, "giver": 3, "no": 2, "id": 2, "number": 2},
    "name": {"name": 4, "member": 3, "supporter": 3, "donor": 3, "giver": 3, "from": 3},
    "email": {"email": 4, "mail": 4},
    "hidden": {"private": 5, "anonymous": 5, "hidden": 4, "unnamed": 4, "keep": 1},
    "purpose": {"purpose": 6, "designation": 6, "fund": 4, "campaign": 4, "note": 2, "code": 2, "for": 2},
    "currency": {"currency": 5, "cur": 4, "ccy": 4},
    "foreign": {"foreign": 5, "original": 2, "presentment": 3, "amount": 2, "given": 2},
    "rate": {"rate": 5, "exchange": 4, "fx": 5},
}
FEE_WORDS: dict[str, set[str]] = {
    "any": {"fee", "fees", "cost", "costs", "share", "commission", "charges"},
    PLATFORM_FEE: {"platform", "share", "commission", "service", "hosting"},
    PROCESSING_FEE: {"processing", "processor", "card", "payment", "transaction"},
}
HIDDEN = {"yes", "true", "1", "private", "anonymous", "hidden"}
_DISPUTE = {"dispute", "disputed", "chargeback"}
_BACK = {"back", "returned", "refund", "refunded", "reversed", "reversal", "correction", "credit"}
_COST = {"fee", "fees", "cost", "costs", "service"}
_OUT = {"payout", "transfer", "bank", "settlement", "withdrawal"}
_NO = {"declined", "refused", "failed", "rejected"}
_GIVEN = {"gift", "gifts", "pledge", "donation", "contribution", "payment", "charge", "membership", "taken"}


def tokens(text: str) -> list[str]:
    """The words of a header or cell: ``Charged On``, ``charged_on`` and ``chargedOn`` alike."""
    return _TOKEN.findall(_CAMEL.sub(" ", text).casefold())


def kind_of_word(text: str) -> str:
    """The kind of row that a word probably marks; empty when it says nothing known."""
    told = set(tokens(text))
    if told & _DISPUTE:
        return _dispute(told)
    if told & _COST:
        return FEE_BACK if told & _BACK else FEE
    if told & _BACK:
        return REFUND_FAILED if told & _NO else REFUND
    if told & _NO:
        return DECLINED
    if told & _OUT:
        return PAYOUT
    return GIFT if told & _GIVEN else ""


def _dispute(told: set[str]) -> str:
    if told & _COST:
        return DISPUTE_FEE_BACK if told & _BACK else DISPUTE_FEE
    if "won" in told:
        return DISPUTE_WON
    return DISPUTE_LOST if "lost" in told else CHARGEBACK
