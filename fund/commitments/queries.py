from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Min, Q, Sum

from fund import clock
from fund.commitments.cleared import not_shown, not_shown_of
from fund.commitments.models import CommitmentMove, CostObjectEnd, HeldAmount
from fund.commitments.rules import Allowance, Overrun, Position, position_of
from fund.ledger.chart import BANK, GENERAL
from fund.ledger.models import CostObject, Entry, Line, Purpose
from fund.ledger.queries import balances
from fund.ledger.rules import month_of
from fund.money import Money
from fund.rulebook.queries import rule


def open_by_purpose(until: date | None = None, cost_object: str | None = None) -> dict[str, Money]:
    """Open commitments by purpose code, of all cost objects or of one."""
    moves = CommitmentMove.objects.filter(Q() if until is None else Q(on__lte=until))
    if cost_object:
        moves = moves.filter(cost_object=cost_object)
    return dict(moves.order_by().values_list("purpose_id").annotate(sum=Sum("amount")))


def open_for(cost_object: str) -> Money:
    return Money(sum(amount.minor for amount in open_by_purpose(cost_object=cost_object).values()))


@dataclass(frozen=True, slots=True)
class OpenCommitment:
    cost_object: CostObject
    amount: Money
    since: date


def open_commitments(until: date | None = None) -> list[OpenCommitment]:
    """Cost objects with money still promised, oldest promise first. Two queries."""
    moves = CommitmentMove.objects.filter(Q() if until is None else Q(on__lte=until)).order_by("id")
    sums: dict[str, Money] = defaultdict(lambda: Money.zero)
    since: dict[str, date] = {}
    rows = (
        moves.order_by("cost_object_id")
        .values_list("cost_object_id")
        .annotate(sum=Sum("amount"))
        .filter(~Q(sum=0))
    )
    for code, amount in rows:
        sums[code] = amount
    for code, day in moves.filter(cost_object__in=list(sums), kind="promise").values_list(
        "cost_object_id", "on"
    ):
        since.setdefault(code, day)
    objects = CostObject.objects.in_bulk(list(sums))
    found = [OpenCommitment(objects[code], sums[code], since[code]) for code in sums]
    return sorted(found, key=lambda item: (item.since, item.cost_object.code))


def allowance(cost_object: str) -> Allowance:
    """What may be spent on one cost object. One query."""
    return allowances([cost_object]).get(cost_object, Allowance())


def allowances(cost_objects: Iterable[str]) -> dict[str, Allowance]:
    """The same for many at once; those never promised anything are left out. One query."""
    granted = Q(kind__in=("promise", "lapse"))
    dated = Q(kind="promise", until__isnull=False)
    rows = (
        CommitmentMove.objects.filter(cost_object__in=list(cost_objects))
        .order_by()
        .values_list("cost_object_id")
        .annotate(
            promised=Sum("amount", filter=granted),
            slack=Sum("tolerance"),
            spent=Sum("cost"),
            last=Max("until"),
            bought=Max("id", filter=Q(kind="spend")),
            first=Min("id", filter=dated),
            still=Sum("amount"),
        )
    )
    nothing = Money.zero
    return {
        code: Allowance(
            promised or nothing, slack or nothing, spent or nothing, until, begun_by(bought, first), still
        )
        for code, promised, slack, spent, until, bought, first, still in rows
    }


def general_promised(cost_object: str) -> Money:
    """What was promised to one cost object out of general money, spent or not, less what was let go of."""
    moves = CommitmentMove.objects.filter(
        cost_object=cost_object, purpose=GENERAL, kind__in=("promise", "lapse")
    )
    return moves.aggregate(sum=Sum("amount"))["sum"] or Money.zero


def promise_stands(cost_object: str) -> bool:
    """Whether the latest promise to a cost object was neither released nor let go of since."""
    moves = CommitmentMove.objects.filter(cost_object=cost_object, kind__in=("promise", "release", "lapse"))
    last = moves.order_by("-id").first()
    return last is not None and last.kind == "promise"


def begun_by(bought: int | None, dated: int | None) -> bool:
    """Whether the last purchase (number of its move) came after the first promise with a day to buy by.

    What was bought out of an earlier promise without such a day begins nothing: the dated one still runs out.
    """
    return bought is not None and (dated is None or bought > dated)


def overruns(costs: Mapping[str, Money]) -> list[Overrun]:
    """Which of these costs would pass what was approved and its tolerance, and by how much. One query."""
    found = allowances(costs)
    rows = [Overrun(code, cost, found.get(code, Allowance())) for code, cost in sorted(costs.items())]
    return [row for row in rows if row.over > Money.zero]


def allowance_open(cost_object: str, returned: Money) -> Money:
    """How much of a cost given back is promised anew: never more than the promise has left once the cost is gone.

    A cost above the promise (within its tolerance) was not taken from the promise, so it does not come back to it.
    """
    sums = CommitmentMove.objects.filter(cost_object=cost_object).aggregate(
        promised=Sum("amount", filter=Q(kind__in=("promise", "release", "lapse"))), spent=Sum("cost")
    )
    promised, spent = (sums[key] or Money.zero for key in ("promised", "spent"))
    after = max(promised - spent + returned, Money.zero)
    return min(max(after - open_for(cost_object), Money.zero), returned)


def spent_by(entry: Entry, cost_object: str) -> tuple[Money, dict[str, Money]]:
    """What an entry cost a cost object, less what was given back of it since; and what restrictions paid of that."""
    moves = CommitmentMove.objects.filter(cost_object=cost_object).filter(
        Q(entry=entry, kind="spend") | Q(of=entry, kind="give back")
    )
    sums = dict(moves.order_by().values_list("purpose_id").annotate(sum=Sum("cost")))
    cost = Money(sum(amount.minor for amount in sums.values()))
    return cost, {code: amount for code, amount in sums.items() if code != GENERAL and amount > Money.zero}


def released_by(entry: Entry, purpose: str, cost_object: str) -> Money:
    """What is still released of a restriction by the releases that came with an entry."""
    entries = Entry.objects.filter(kind="release", source=f"entry {entry.number}")
    named = entries.filter(lines__purpose=purpose, lines__cost_object=cost_object).distinct()
    lines = Line.objects.filter(entry__in=named.values("number"), account=BANK, purpose=purpose)
    return max(-(lines.aggregate(sum=Sum("amount"))["sum"] or Money.zero), Money.zero)


def ended_on(cost_objects: Iterable[str]) -> dict[str, date]:
    """The day on which the work on each of these ended; those whose work goes on are left out. One query."""
    found: dict[str, date] = {}
    rows = CostObjectEnd.objects.filter(cost_object__in=list(cost_objects)).order_by("id")
    for code, ended, on in rows.values_list("cost_object_id", "ended", "on"):
        if ended:
            found[code] = on
        else:
            found.pop(code, None)
    return found


def held_on(day: date, in_transit: bool = False) -> dict[str, Money]:
    """What may not be promised yet on a day because it may still be taken back, by purpose.

    ``in_transit`` leaves out what the bank has not shown yet, where that is taken off as such. At most two queries.
    """
    rows = HeldAmount.objects.filter(since__lte=day, until__gt=day)
    rows = rows.filter(Q(ended_on__isnull=True) | Q(ended_on__gt=day))
    held: dict[tuple[int | None, str], Money] = defaultdict(lambda: Money.zero)
    for entry, purpose, amount in rows.values_list("entry_id", "purpose_id", "amount"):
        held[entry, purpose] += amount
    waiting = not_shown_of({entry for entry, _ in held if entry}, day) if in_transit else {}
    found: dict[str, Money] = defaultdict(lambda: Money.zero)
    for (brought_by, pot), amount in held.items():
        on_its_way = max(waiting.get((brought_by or 0, pot), Money.zero), Money.zero)
        found[pot] += max(amount - on_its_way, Money.zero)
    return dict(found)


def position(on: date | None = None) -> Position:
    """Where the fund stands at the end of a day (default today): the bank, every subtraction, and free to commit.

    A constant number of queries.
    """
    day = on or clock.today()
    # By posting date, which has an index with nothing else in the way: the answer costs the same on a ledger of any age.
    last = Entry.objects.filter(posting_date__lte=day).aggregate(last=Max("posting_date"))["last"]
    restricted = list(Purpose.objects.filter(restricted=True).values_list("code", flat=True))
    month = month_of(last or day)
    waiting = not_shown(day)
    return position_of(
        balances(day),
        restricted,
        rule("reserve_floor", day),
        open_by_purpose(day),
        day,
        month,
        waiting,
        held_on(day, in_transit=waiting is not None),
    )


def free_for(purpose: str) -> Money:
    """What may be promised today out of one purpose: of a restriction only what lies in the bank and the bank has shown."""
    now = position()
    if purpose == GENERAL:
        return now.free_to_commit
    return dict(now.to_promise).get(purpose, Money.zero) - open_by_purpose().get(purpose, Money.zero)
