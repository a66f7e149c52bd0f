from datetime import date

from django.db.models import OuterRef, QuerySet, Subquery

from fund.gifts.models import Gift, Pledge
from fund.gifts.queries_booked import Rates, rates_of
from fund.gifts.queries_supporters import supporters, with_pattern
from fund.gifts.rules import PLATFORM
from fund.gifts.rules_exchange import value_of
from fund.gifts.rules_outlook import OutlookMonth, Promise, outlook
from fund.gifts.rules_pattern import ACTIVE, RETRYING
from fund.money import Money

MONTHS = 6


def pledges() -> QuerySet[Pledge]:
    """Pledges, open ones and ended ones."""
    return Pledge.objects.select_related("supporter")


def next_months(today: date) -> list[OutlookMonth]:
    """What may come in over the next six months: monthly supporters' latest gifts and open pledges.

    A foreign gift is told at the newest rate that is known, not at the one it was booked with. Nothing of this is in
    the books or in what may be promised.
    """
    latest = Gift.objects.filter(supporter=OuterRef("pk"), kind=PLATFORM).order_by("-received_on", "-pk")
    parts = ("amount", "foreign__currency", "foreign__amount")
    rows: list[tuple[Money, str | None, int | None]] = []
    for state in (ACTIVE, RETRYING):
        found = with_pattern(supporters(), state, today)
        found = found.annotate(
            **{f"last_{n}": Subquery(latest.values(part)[:1]) for n, part in enumerate(parts)}
        )
        rows += found.order_by().values_list("last_0", "last_1", "last_2")
    rates = rates_of({currency for _, currency, _ in rows if currency})
    members = [_now(amount, currency, foreign, rates, today) for amount, currency, foreign in rows]
    told = [Promise(one.amount, one.due_on, one.monthly) for one in Pledge.objects.filter(ended_on=None)]
    return outlook(today, MONTHS, members, told)


def _now(amount: Money, currency: str | None, foreign: int | None, rates: Rates, today: date) -> Money:
    rate = rates.get(currency, today) if currency else 0
    return value_of(Money(foreign), rate) if foreign and rate else amount
