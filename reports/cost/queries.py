"""Everything the cost page of a repair shows, in a fixed number of queries."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, Sum
from django.http import Http404

from fund.commitments.queries import allowance
from fund.commitments.rules import Allowance
from fund.ledger.chart import CORES, REPAIR_COST
from fund.ledger.models import Line
from fund.ledger.rules import month_of
from fund.money import Money, total
from fund.rulebook.queries import from_text, rule_along
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.rules import Kind
from jobs.hours.models_book import ClockReason
from jobs.hours.queries import HoursTotal
from jobs.hours.queries_book import RULE, to_explain
from jobs.hours.rules_book import Passed
from jobs.repairs.models import RepairOrder
from reports.cost.rules import (
    Booked,
    Foreseen,
    KindRow,
    Published,
    Since,
    by_kind,
    costs_among,
    deposits_among,
    published_of,
    since,
)
from reports.cost.rules_lines import LineRow, by_line
from reports.month.models import PublishedMonth


@dataclass(frozen=True, slots=True)
class RepairCost:
    """The cost of one repair: estimate, ledger, deposits, hours, promise and published records side by side."""

    repair: RepairOrder
    foreseen: list[Foreseen]
    kinds: list[KindRow]
    lines: list[LineRow]
    costs: list[Booked]
    deposits: list[Booked]
    hours: HoursTotal
    clock_reason: ClockReason | None
    unexplained: Passed | None
    allowance: Allowance
    published: list[Published]
    since: Since | None

    @property
    def estimate(self) -> Money:
        """What was granted, core deposits apart."""
        return total(line.amount for line in self.foreseen if line.kind != Kind.CORE)

    @property
    def estimated_deposits(self) -> list[Foreseen]:
        return [line for line in self.foreseen if line.kind == Kind.CORE]

    @property
    def actual(self) -> Money:
        return total(line.amount for line in self.costs)

    @property
    def difference(self) -> Money:
        return self.actual - self.estimate

    @property
    def deposits_out(self) -> Money:
        return total(line.amount for line in self.deposits)

    @property
    def tolerance_left(self) -> Money:
        """What of the tolerance is not used yet."""
        used = max(self.allowance.spent - self.allowance.promised, Money.zero)
        return max(self.allowance.tolerance - used, Money.zero)

    @property
    def room(self) -> Money:
        """What may still be bought for it; nothing once it has ended."""
        return max(self.allowance.room, Money.zero) if not self.repair.ended else Money.zero


def cost_of_repair(number: str) -> RepairCost:
    """Raises Http404 for a repair order that is not there. Five queries, however many lines and months."""
    repair, hours, unexplained = _repair_and_hours(number)
    foreseen = _foreseen(repair)
    lines = _booked(repair)
    costs = costs_among(lines)
    finished = month_of(repair.handed_back_on) if repair.handed_back_on else None
    published = _published(repair, costs, finished)
    return RepairCost(
        repair=repair,
        foreseen=foreseen,
        kinds=by_kind(foreseen, costs),
        lines=by_line(foreseen, costs),
        costs=costs,
        deposits=deposits_among(lines),
        hours=hours,
        clock_reason=getattr(repair, "clock_reason", None),
        unexplained=unexplained,
        allowance=allowance(number),
        published=published,
        since=since(published, costs, finished),
    )


def _repair_and_hours(number: str) -> tuple[RepairOrder, HoursTotal, Passed | None]:
    rows = RepairOrder.objects.filter(number=number).select_related("clock_reason__by")
    rows = rows.annotate(
        clock_tenths=Sum("hours__tenths"),
        skilled=Sum("hours__tenths", filter=Q(hours__skill__skilled=True)),
        worth=Sum("hours__value"),
        factor=rule_along(RULE),
    )
    repair = rows.first()
    if repair is None:
        raise Http404
    hours = HoursTotal(repair.clock_tenths or 0, repair.skilled or 0, repair.worth or Money.zero)
    return repair, hours, to_explain(repair, hours.tenths, from_text(RULE, repair.factor))


def _foreseen(repair: RepairOrder) -> list[Foreseen]:
    granted = SupplementRequest.objects.filter(repair=repair, answer="yes").values("round")
    rows = EstimateLine.objects.filter(Q(round=0) | Q(round__in=granted), repair=repair)
    return [
        Foreseen(row.round, row.kind, row.text, row.amount, row.count, row.condition)
        for row in rows.order_by("round", "ordinal")
    ]


def _booked(repair: RepairOrder) -> list[Booked]:
    rows = Line.objects.filter(
        cost_object=repair.number, account__in=[*REPAIR_COST, CORES], entry__isnull=False
    )
    approved = repair.approved_on
    return [
        Booked(
            account=row.account_id,
            amount=row.amount,
            text=row.text,
            entry=row.entry_id,
            entry_text=row.entry.text,
            source=row.entry.source,
            on=row.document_date,
            month=row.month,
            later=row.entry.later_change,
            before_approval=approved is not None and row.document_date < approved,
        )
        for row in rows.select_related("entry").order_by("document_date", "entry_id", "ordinal")
    ]


def _published(repair: RepairOrder, costs: Iterable[Booked], finished: str | None) -> list[Published]:
    """Only months in which something was booked or the keys went back are read: those are the ones that tell its cost."""
    months = {line.month for line in costs} | ({finished} if finished else set())
    latest: dict[str, PublishedMonth] = {}
    for row in PublishedMonth.objects.filter(month__in=sorted(months)).order_by("month", "version"):
        latest[row.month] = row
    records = [(row.month, row.version, json.loads(row.record)) for row in latest.values()]
    return published_of(records, repair.alias, repair.vehicle_class, repair.job_type, list(costs))
