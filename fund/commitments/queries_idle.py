"""What is promised and how long nobody has used it."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Max, Min, Q, Sum

from fund import clock
from fund.commitments.models import CommitmentMove
from fund.commitments.queries import begun_by
from fund.money import Money
from fund.rulebook.queries import rule


@dataclass(frozen=True, slots=True)
class Promised:
    """Money still promised to a cost object. ``since`` is the day of its first promise with a day to buy by, if it has
    one, else of its first at all; ``last`` is the day it was last approved for, bought for or extended."""

    cost_object: str
    label: str
    amount: Money
    since: date
    last: date
    bought: date | None
    until: date | None
    ran_out: bool
    stale: bool
    idle_days: int

    @property
    def look(self) -> str:
        """Why somebody should look at it; nothing when it is in use."""
        if self.ran_out:
            return f"Ran out on {self.until}, nothing bought"
        return f"Not used for {self.idle_days} days" if self.stale else ""


def promised(on: date | None = None, cost_object: str | None = None) -> list[Promised]:
    """Every cost object with money still promised to it on a day (default today), the longest unused first.

    Two queries, however many there are.
    """
    day = on or clock.today()
    stale_from = day - timedelta(days=rule("stale_days", day))
    moves = CommitmentMove.objects.filter(on__lte=day)
    if cost_object is not None:
        moves = moves.filter(cost_object=cost_object)
    used = Q(kind__in=("promise", "spend", "give back", "extend"))
    rows = (
        moves.order_by()
        .values_list("cost_object_id", "cost_object__label")
        .annotate(
            left=Sum("amount"),
            first=Min("on", filter=Q(kind="promise")),
            approved=Min("on", filter=Q(kind="promise", until__isnull=False)),
            last=Max("on", filter=used),
            bought=Max("on", filter=Q(kind="spend")),
            latest=Max("until"),
            purchase=Max("id", filter=Q(kind="spend")),
            dated=Min("id", filter=Q(kind="promise", until__isnull=False)),
        )
        .filter(~Q(left=0))
    )
    found = [
        Promised(
            cost_object=code,
            label=label,
            amount=left,
            since=approved or first,
            last=last,
            bought=bought,
            until=None if begun_by(purchase, dated) else until,
            ran_out=not begun_by(purchase, dated) and until is not None and day > until,
            stale=last <= stale_from,
            idle_days=(day - last).days,
        )
        for code, label, left, first, approved, last, bought, until, purchase, dated in rows
    ]
    return sorted(found, key=lambda row: (row.last, row.cost_object))


def to_look_at(on: date | None = None) -> list[Promised]:
    """Those whose approval ran out before anything was bought, or that nobody has used for the fund's stale days."""
    return [row for row in promised(on) if row.ran_out or row.stale]
