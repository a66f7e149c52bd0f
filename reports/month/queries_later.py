"""Entries of this month that concern months already closed."""

from collections import defaultdict

from django.db.models import F, Sum

from fund.ledger.chart import REPAIR_COST
from fund.ledger.models import Account, CostObject, Line
from fund.ledger.queries import costs_of
from fund.ledger.rules import last_day, month_of, previous_month
from fund.money import Money
from jobs.repairs.models import RepairOrder
from reports.month.rules_figures import LaterChange
from reports.month.rules_labels import ACCOUNT_LABELS, LABOR_PAIR


def later_changes(month: str) -> tuple[list[LaterChange], int]:
    """What was posted in the month about earlier months, by month, account and repair; then how many entries
    moved money between the fund's own accounts only, and so changed no line of the table.

    A reversal concerns the month of the entry it takes back.
    """
    lines = Line.objects.filter(month=month, entry__later_change=True)
    rows = (
        lines.filter(account__kind__in=("income", "expense"))
        .exclude(account__in=LABOR_PAIR)
        .order_by()
        .values_list("entry__document_date", "account_id", "cost_object_id")
        .annotate(first_date=F("entry__reverses__document_date"))
        .annotate(sum=Sum("amount"))
    )
    sums: dict[tuple[str, str, str | None], Money] = defaultdict(lambda: Money.zero)
    for day, account, cost_object, reversed_day, amount in rows:
        sums[month_of(reversed_day or day), account, cost_object] += amount
    moving = lines.values("entry").distinct().count()
    telling = lines.filter(account__kind__in=("income", "expense")).values("entry").distinct().count()
    return _told(month, {key: amount for key, amount in sums.items() if amount}), moving - telling


def _told(month: str, sums: dict[tuple[str, str, str | None], Money]) -> list[LaterChange]:
    accounts = Account.objects.in_bulk([account for _, account, _ in sums])
    numbers = sorted({number for _, _, number in sums if number})
    aliases = dict(RepairOrder.objects.filter(number__in=numbers).values_list("number", "alias"))
    labels = dict(
        CostObject.objects.filter(code__in=set(numbers) - set(aliases)).values_list("code", "label")
    )
    before = costs_of(numbers, last_day(previous_month(month)))
    now = costs_of(numbers, last_day(month))
    told = []
    for (concerns, code, number), amount in sorted(
        sums.items(), key=lambda item: (item[0][0], item[0][1], item[0][2] or "")
    ):
        income = accounts[code].kind == "income"
        named = number is not None and code in REPAIR_COST
        told.append(
            LaterChange(
                concerns=concerns,
                label=ACCOUNT_LABELS.get(code, accounts[code].name),
                amount=-amount if income else amount,
                alias=aliases.get(number) or labels[number] if number else "",
                published=before.get(number, Money.zero) if named and number else None,
                now=now.get(number, Money.zero) if named and number else None,
            )
        )
    return told
