"""Cash for scrap: no gift, yet cash like any other, counted and signed by two and banked with the counts."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, two_people
from fund.access.models import Person
from fund.gifts.actions_cash import counted
from fund.gifts.models import CashCount
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.numbers import next_code
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record


@transaction.atomic
def sell_scrap(
    *,
    by: Person,
    second: Person,
    on: date,
    what: str,
    yard: str,
    denominations: Mapping[int, int],
    note: str = "",
) -> CashCount:
    """Book cash that a yard paid for scrap, as other income. `denominations`: face value in minor units -> how many.

    Refuses one person alone, a day after today, an empty count, nothing named, and a catalytic converter, which has a
    log of its own and laws of its own in most states.
    """
    require(by, "gift.count")
    require(second, "gift.count")
    two_people(by, second, "sell scrap")
    hold_books()
    if on > clock.today():
        raise BadInput(f"{on} is after today.")
    if not what.strip() or not yard.strip():
        raise BadInput("Say what was sold as scrap, and which yard paid for it.")
    if "convert" in what.lower() or "catalytic" in what.lower():
        raise NotReady(
            "A catalytic converter is never sold as plain scrap. Write it into its own log, with the VIN."
        )
    amount = counted(denominations)
    code = next_code(CashCount, "code", "C-")
    words = f"Scrap: {what.strip()}, {yard.strip()}"[:120]
    lines = [dr(chart.UNDEPOSITED, amount, text=f"Count {code}"), cr(chart.SUNDRY, amount, text=words)]
    entry = post(by=by, draft=EntryDraft("scrap", on, words, lines, code))
    count = CashCount.objects.create(
        code=code, on=on, place=words,
        denominations={str(face): many for face, many in sorted(denominations.items(), reverse=True) if many},
        counted_by=by, second_by=second, total=amount, receipts=amount, note=note.strip(), entry=entry,
    )  # fmt: skip
    text = f"{by.label} and {second.label} sold scrap for {amount.dollars}: {what.strip()}, {yard.strip()}."
    record(
        by=by, action="scrap.sell", subject=code, text=text, data={"entry": entry.number, "second": second.pk}
    )
    return count
