from dataclasses import dataclass
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from fund.access.models import Person
from fund.commitments.queries import open_for
from fund.ledger.chart import CORES, REPAIR_COST
from fund.ledger.models import Account, Line
from fund.money import Money, MoneyField, total
from jobs.estimates.models import EstimateLine
from jobs.estimates.rules import Kind
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED


def repairs() -> QuerySet[RepairOrder]:
    """All repair orders, newest first, each with its ``estimate`` and booked ``cost`` (core deposits in neither)."""
    priced = EstimateLine.objects.filter(repair=OuterRef("pk"), round=0).exclude(kind=Kind.CORE)
    booked = Line.objects.filter(cost_object=OuterRef("number"), account__in=REPAIR_COST)
    return (
        RepairOrder.objects.select_related("mechanic")
        .annotate(estimate=_sum_of(priced, "repair"), cost=_sum_of(booked, "cost_object"))
        .order_by("-number")
    )


def _sum_of(rows: QuerySet[Any], by: str) -> Coalesce:
    whole = rows.order_by().values(by).annotate(sum=Sum("amount")).values("sum")
    return Coalesce(Subquery(whole), 0, output_field=MoneyField())


def open_repairs() -> QuerySet[RepairOrder]:
    """Repair orders still on their way, for choosing one on a receipt or an hours form."""
    return RepairOrder.objects.exclude(state__in=ENDED).order_by("number")


def repairs_of(person: Person) -> QuerySet[RepairOrder]:
    """What this mechanic has on hand."""
    return open_repairs().filter(mechanic=person)


@dataclass(frozen=True)
class CostLine:
    """What one account of a repair has cost so far (minor units; deposits are not among them)."""

    account: str
    name: str
    amount: Money


@dataclass(frozen=True)
class ActualCost:
    """Booked cost of a repair by account, and core deposits still out beside it."""

    lines: tuple[CostLine, ...]
    cores_out: Money

    @property
    def cost(self) -> Money:
        return total(line.amount for line in self.lines)


def actual_cost(number: str) -> ActualCost:
    """The cash cost of a repair as booked. Two queries."""
    rows = dict(
        Line.objects.filter(cost_object=number, account__in=[*REPAIR_COST, CORES])
        .order_by()
        .values_list("account_id")
        .annotate(sum=Sum("amount"))
    )
    names = dict(Account.objects.filter(code__in=list(rows)).values_list("code", "name"))
    lines = tuple(CostLine(code, names[code], rows[code]) for code in REPAIR_COST if rows.get(code))
    return ActualCost(lines, rows.get(CORES, Money.zero))


def consequences_of_stopping(repair: RepairOrder) -> list[str]:
    """What a cancellation does, for the person about to confirm it."""
    left, spent = open_for(repair.number), actual_cost(repair.number)
    lines = [f"{repair.number} of {repair.alias} stops here and is not written on again."]
    if left:
        lines.append(f"{left.dollars} promised to it becomes free to commit again.")
    if spent.cost:
        lines.append(
            f"{spent.cost.dollars} already booked stays its cost; return unused parts through Receipts."
        )
    if spent.cores_out:
        lines.append(f"{spent.cores_out.dollars} of core deposits is still to be fetched back.")
    return lines
