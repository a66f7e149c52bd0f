from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Count, F, Q, Sum
from django.db.models.functions import Greatest, Least

from fund.access.models import Person
from fund.gifts.models import CashCount
from fund.money import Money, MoneyField

YEAR = timedelta(days=365)


def shortages_of(count: CashCount) -> int:
    """How often a count by the same two people, in either order, was short in the year before."""
    pair = (count.counted_by_id, count.second_by_id)
    same = Q(counted_by=pair[0], second_by=pair[1]) | Q(counted_by=pair[1], second_by=pair[0])
    short = CashCount.objects.filter(same, receipts__gt=F("total") + F("spent"), void_on=None)
    return short.filter(on__gte=count.on - YEAR).exclude(pk=count.pk).count()


@dataclass(frozen=True, slots=True)
class Pair:
    """Two people who counted together: how often, how often short, and by how much in all."""

    names: str
    counts: int
    short: int
    short_by: Money
    over_by: Money


def pairs() -> list[Pair]:
    """Everybody who counts with whom; repeated shortages by the same two are the sign to look for. Two queries."""
    apart = F("total") + F("spent") - F("receipts")
    rows = (
        CashCount.objects.filter(void_on=None)
        .order_by()
        .values(low=Least("counted_by", "second_by"), high=Greatest("counted_by", "second_by"))
        .annotate(
            counts=Count("pk"),
            short=Count("pk", filter=Q(receipts__gt=F("total") + F("spent"))),
            under=Sum(apart, filter=Q(receipts__gt=F("total") + F("spent")), output_field=MoneyField()),
            over=Sum(apart, filter=Q(receipts__lt=F("total") + F("spent")), output_field=MoneyField()),
        )
    )
    found = list(rows)
    people = Person.objects.in_bulk({key for row in found for key in (row["low"], row["high"])})
    told = [
        Pair(
            " and ".join(sorted(people[key].label for key in (row["low"], row["high"]))),
            row["counts"],
            row["short"],
            -(row["under"] or Money.zero),
            row["over"] or Money.zero,
        )
        for row in found
    ]
    return sorted(told, key=lambda pair: (-pair.short, -pair.counts, pair.names))
