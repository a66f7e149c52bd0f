"""What may be done with a gift as it stands: which buttons its page shows. The actions decide again."""

from datetime import timedelta

from fund import clock
from fund.gifts.actions_returns import BY_PLATFORM
from fund.gifts.benefits_back import still_owed
from fund.gifts.models import Gift
from fund.gifts.queries_letters import facts_of
from fund.gifts.rules import CASH, CHECK, GENERAL, GOODS, TRANSFER, VIA_CREW
from fund.gifts.rules_state import IN_DISPUTE, REFUNDABLE, STANDING
from fund.gifts.rules_terms import GIFT
from fund.rulebook.queries import rule

MONEY_WAYS = (CHECK, TRANSFER, VIA_CREW, *BY_PLATFORM)


def acts_on(gift: Gift) -> dict[str, bool]:
    """Acts by name. A refund that only waits for the money to clear is named ``clearing``."""
    state, whole = facts_of(gift).state, gift.returns.count() == 0
    settled, benefit = hasattr(gift, "settlement"), getattr(gift, "benefit", None)
    plain = state == STANDING and gift.nature == GIFT and gift.purpose_id == GENERAL and gift.kind != GOODS
    banked = gift.kind != CHECK or gift.deposit_id is not None
    here = gift.kind != VIA_CREW or gift.hand_over_id is not None
    back = whole and gift.kind in MONEY_WAYS and banked and here
    return {
        "return": whole and gift.kind == CHECK and gift.deposit_id is not None,
        "refund": back and not _clears_on(gift),
        "clearing": back and bool(_clears_on(gift)),
        "settle": state == REFUNDABLE,
        "hold_back": plain and gift.supporter_id is not None and gift.count_id is None and benefit is None,
        "dispute": whole and gift.platform_id is not None,
        "in_dispute": state == IN_DISPUTE,
        "owe": plain and benefit is None and gift.count_id is None,
        "send": bool(still_owed(gift)),
        "correct": whole and _by_hand(gift) and benefit is None and not settled,
    }


def _clears_on(gift: Gift) -> str:
    """The day until which a check or transfer may still bounce; empty once it is over."""
    start = gift.deposit.on if gift.deposit else gift.received_on if gift.kind == TRANSFER else None
    if start is None:
        return ""
    free = start + timedelta(days=rule("clearing_days", start))
    return str(free) if clock.today() < free else ""


def _by_hand(gift: Gift) -> bool:
    told = gift.payout_id or gift.count_id or gift.deposit_id
    from_file = gift.platform_id and gift.entry and gift.entry.source != gift.code
    return not told and not from_file and gift.kind in (CASH, CHECK, TRANSFER, *BY_PLATFORM)
