"""Money that is in the bank and may still be taken back. The rooms that know of it write it here."""

from datetime import date

from django.db.models import Q

from fund.commitments.models import HeldAmount
from fund.ledger.chart import GENERAL
from fund.ledger.models import Entry
from fund.money import Money


def hold_amount(
    *,
    source: str,
    amount: Money,
    since: date,
    until: date,
    reason: str,
    purpose: str = GENERAL,
    entry: Entry | None = None,
) -> HeldAmount | None:
    """Keep an amount out of what may be promised of its purpose from ``since`` to the day before ``until``; once for each source.

    ``entry`` brought it into the bank: while the bank has not shown that, the money is taken off once and not twice.
    Called inside the transaction of the action that learns of the money. Nothing to hold, or a time that is over
    before it begins, is no error.
    """
    if amount <= Money.zero or until <= since:
        return None
    held, _ = HeldAmount.objects.get_or_create(
        source=source,
        defaults={
            "amount": amount,
            "since": since,
            "until": until,
            "reason": reason[:200],
            "purpose_id": purpose,
            "entry": entry,
        },
    )
    return held


def let_go(*, sources: list[str], on: date) -> int:
    """Hold these amounts no longer from ``on``: they were taken back, or their giver is known. How many there were."""
    still = Q(ended_on__isnull=True, until__gt=on)
    return HeldAmount.objects.filter(still, source__in=sources).update(ended_on=on)
