"""What must hold of donated hours in a live database."""

from collections.abc import Iterator

from django.db.models import F, Q, Sum

from fund.ledger.chart import LABOR
from fund.money import Money
from fund.proofs import Proof
from jobs.hours.models import HoursEntry
from jobs.hours.rules import worth


def hours_breaks(chunk: int = 2000) -> Iterator[str]:
    """Rows whose value is not their tenths at their rate, or not what their ledger entry booked."""
    for code, tenths, rate, value in (
        HoursEntry.objects.order_by("id").values_list("code", "tenths", "rate", "value").iterator(chunk)
    ):
        right = worth(tenths, rate) if rate else Money.zero
        if value != right:
            yield f"Hours {code} are valued at {value}; {tenths} tenths at their rate are {right}."
    booked = HoursEntry.objects.filter(entry__isnull=False).annotate(
        booked=Sum("entry__lines__amount", filter=Q(entry__lines__account=LABOR))
    )
    for row in booked.exclude(booked=F("value")).order_by("id"):
        yield f"Hours {row.code} are worth {row.value}, but entry {row.entry_id} booked {row.booked}."


HOURS_PROOFS: tuple[Proof, ...] = (("donated hours are worth what they say and booked so", hours_breaks),)
