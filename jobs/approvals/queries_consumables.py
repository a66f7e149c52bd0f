"""What mechanics took before a decision: for the page of the repair, for the owner's eyes, and for the action itself."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from fund.access.models import Person
from fund.commitments.queries import allowances
from fund.commitments.rules import Allowance
from fund.money import Money
from fund.rulebook.queries import rule
from jobs.approvals.models import Approval
from jobs.approvals.queries import rules_of_the_fund, sheet
from jobs.approvals.rules_consumables import Wish, wish_checks
from jobs.approvals.sheet import Sheet
from jobs.estimates.models import EstimateLine
from jobs.estimates.rules import Kind, add_up
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.vehicles.queries_checkin import check_in_of

UNDECIDED = (State.CHECKED_IN, State.ESTIMATED)


def consumables_sheet(repair: RepairOrder, by: Person, on: date, amount: Money, words: str) -> Sheet:
    """The facts of one wish for consumables: a single line, judged by the rules of the lowest rung."""
    whole = sheet(repair, by, on)
    before, limit = whole.case.taken_in, rule("consumables_limit", on)
    line = EstimateLine(repair=repair, ordinal=1, kind=Kind.FLUID, text=words, amount=amount)
    case = replace(
        whole.case,
        cost=amount,
        standing_cost=before,
        taken_in=Money.zero,
        from_gift=Money.zero,
        supplement=False,
        agreed_by=None,
    )
    wish = Wish(
        case=case,
        state=repair.state,
        waits=repair.state in UNDECIDED,
        mechanic=repair.mechanic_id,
        checked_in=check_in_of(repair) is not None,
        limit=limit,
    )
    of_the_fund = rules_of_the_fund(repair, False, case.whole, on, case.comeback)
    return replace(
        whole,
        case=case,
        checks=[*wish_checks(wish), *of_the_fund],
        request=None,
        lines=[line],
        sums=add_up([line]),
        tolerance=Money.zero,
        from_restricted=Money.zero,
        consumables_limit=limit,
    )


@dataclass(frozen=True, slots=True)
class Taken:
    """Consumables of one repair before its decision. ``promised`` in all, ``spent`` of it, ``people`` who took them."""

    repair: RepairOrder
    promised: Money
    spent: Money
    people: str
    words: str


def undecided_with_consumables() -> QuerySet[RepairOrder]:
    """Repairs that wait for their decision while their mechanic has taken consumables that nobody let go of."""
    kinds = ("consumables", "let go", "decline")
    last = Approval.objects.filter(repair=OuterRef("pk"), kind__in=kinds).order_by("-pk")
    waiting = RepairOrder.objects.filter(state__in=UNDECIDED).annotate(last=Subquery(last.values("kind")[:1]))
    return waiting.filter(last="consumables").order_by("number")


def taken_before_decisions() -> list[Taken]:
    """Each of those repairs with what was promised and spent, oldest first. Three queries."""
    repairs = list(undecided_with_consumables())
    granted = allowances(repair.number for repair in repairs)
    rows = Approval.objects.filter(repair__in=repairs, kind="consumables").select_related("approver")
    by_repair: dict[int, list[Approval]] = {}
    for row in rows.order_by("pk"):
        by_repair.setdefault(row.repair_id, []).append(row)
    return [
        _taken(repair, granted.get(repair.number, Allowance()), by_repair[repair.pk]) for repair in repairs
    ]


def _taken(repair: RepairOrder, now: Allowance, rows: list[Approval]) -> Taken:
    people = dict.fromkeys(row.approver.label for row in rows)
    words = "; ".join(row.reason for row in rows)
    return Taken(repair, now.promised, now.spent, ", ".join(people), words)


def takers() -> dict[str, str]:
    """Who took consumables alone, by the number of a repair that waits for its decision. One query."""
    rows = Approval.objects.filter(kind="consumables", repair__state__in=UNDECIDED)
    found: dict[str, list[str]] = {}
    for row in rows.select_related("approver", "repair").order_by("pk"):
        names = found.setdefault(row.repair.number, [])
        if row.approver.label not in names:
            names.append(row.approver.label)
    return {number: ", ".join(names) for number, names in found.items()}


def consumables_of(repair: RepairOrder, person: Person, now: Allowance) -> dict[str, Any] | None:
    """What the page of a repair says of consumables before its decision; None where they are no question any more.

    ``mine``: the person looking is the mechanic, who may take more up to ``left``.
    """
    if repair.state not in UNDECIDED:
        return None
    limit: Money = rule("consumables_limit")
    mine = person.pk == repair.mechanic_id and bool(limit)
    if not (mine or now.promised):
        return None
    left = max(limit - now.promised, Money.zero)
    return {"taken": now.promised, "spent": now.spent, "limit": limit, "left": left, "mine": mine}
