"""Rows of the Repairs and Hours sheets."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Exists, OuterRef, Q, Sum

from fund.commitments.models import CommitmentMove
from fund.ledger.chart import REPAIR_COST
from fund.ledger.queries import costs_of
from fund.money import Money
from jobs.approvals.models import Approval
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.rules import Kind as LineKind
from jobs.hours.models import HoursEntry
from jobs.hours.queries import for_workbook
from jobs.hours.rules import WORK_LABELS
from jobs.repairs.models import RepairOrder
from reports.workbook.queries import open_cores, purchases_in
from reports.workbook.rules import Span


def repair_rows(span: Span, until_entry: int) -> Iterator[tuple[Any, ...]]:
    """Repair orders with a life in the span: opened by its end, and not ended before its start or still costing."""
    spent = purchases_in(span, until_entry, REPAIR_COST)
    ended_before = Q(handed_back_on__lt=span.start) | Q(stopped_on__lt=span.start)
    wanted = Q(opened_on__lte=span.end) & (~ended_before | Q(number__in=list(spent)))
    orders = list(RepairOrder.objects.filter(wanted).select_related("mechanic").order_by("number"))
    keys = [order.pk for order in orders]
    numbers = [order.number for order in orders]
    estimates, granted, ratified = _estimates(keys), _granted(numbers, span), _ratified(keys, span)
    costs = costs_of(numbers, span.end)
    cores, hours = open_cores(span, until_entry), _hours(keys, span)
    zero = Money.zero
    for order in orders:
        tenths, worth = hours.get(order.pk, (0, zero))
        promised, slack = granted.get(order.number, (None, None))
        yield (
            order.number, order.alias, order.vehicle_class, order.job_type, order.mechanic and order.mechanic.label,
            order.opened_on, _by(order.approved_on, span), _by(order.handed_back_on, span),
            _by(order.stopped_on, span), estimates.get(order.pk), promised, slack, ratified.get(order.pk),
            costs.get(order.number, zero), spent.get(order.number, zero), cores.get(order.number),
            order.book_hours, tenths, worth,
        )  # fmt: skip


def _by(day: Any, span: Span) -> Any:
    return day if day is not None and day <= span.end else None


def _estimates(keys: list[int]) -> dict[int, Money]:
    """The first estimate and the supplements that were granted; what was refused or let go is none."""
    granted = SupplementRequest.objects.filter(
        repair=OuterRef("repair"), round=OuterRef("round"), answer="yes"
    )
    lines = EstimateLine.objects.filter(Q(round=0) | Exists(granted), repair__in=keys)
    rows = lines.exclude(kind=LineKind.CORE).order_by().values_list("repair_id")
    return dict(rows.annotate(sum=Sum("amount")))


def _granted(numbers: list[str], span: Span) -> dict[str, tuple[Money, Money]]:
    """What was approved for each repair and its tolerance, less what was let go of both."""
    moves = CommitmentMove.objects.filter(
        cost_object__in=numbers, kind__in=("promise", "lapse"), on__lte=span.end
    )
    rows = moves.order_by().values_list("cost_object_id")
    sums = rows.annotate(sum=Sum("amount"), slack=Sum("tolerance"))
    return {code: (amount, slack) for code, amount, slack in sums}


def _ratified(keys: list[int], span: Span) -> dict[int, Money]:
    rows = Approval.objects.filter(repair__in=keys, kind="ratification", on__lte=span.end)
    return dict(rows.order_by().values_list("repair_id").annotate(sum=Sum("amount")))


def _hours(keys: list[int], span: Span) -> dict[int, tuple[int, Money]]:
    rows = HoursEntry.objects.filter(repair__in=keys, counted_on__lte=span.end).order_by()
    sums = rows.values_list("repair_id").annotate(all_tenths=Sum("tenths"), worth=Sum("value"))
    return {key: (tenths, worth) for key, tenths, worth in sums}


def hour_rows(span: Span) -> Iterator[tuple[Any, ...]]:
    """Donated hours counted in the span, taken-back ones with their opposite rows."""
    works = dict(WORK_LABELS)
    for row in for_workbook(span.start, span.end):
        yield (
            row.code, row.on, row.counted_on, row.person.label, row.repair and row.repair.number, works[row.work],
            row.skill.name, row.tenths, row.rate, row.value, row.entered_by.label,
            "yes" if row.confirmed else "not yet", row.reverses and row.reverses.code, row.entry_id, row.note,
        )  # fmt: skip
