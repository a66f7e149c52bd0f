"""The figures of a month in one call, the months there are, and the published ones."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count

from fund import clock
from fund.commitments.queries import position
from fund.ledger.chart import BANK, CORES, SHELF
from fund.ledger.models import CostObject, Line, Month
from fund.ledger.queries import first_month, last_closed_month
from fund.ledger.rules import last_day, month_of, next_month
from fund.money import Money, total
from fund.refusal import Refusal
from fund.rulebook.queries import rules_on
from jobs.eligibility.models import GuidelineTable
from jobs.eligibility.rules import table_in_use
from jobs.estimates.queries import tolerance_rule
from jobs.households.models import Household
from jobs.households.rules import AREAS
from jobs.repairs.models import RepairOrder
from reports.month.models import PublishedMonth
from reports.month.queries_jobs import counts_of_month, hours_of_month, repairs_of_month
from reports.month.queries_later import later_changes
from reports.month.queries_ledger import Moves, labor_posted, ledger_of, repair_costs
from reports.month.rules import Ledger, Row
from reports.month.rules_figures import Figures, Promise, Turnover


def figures_of(month: str) -> Figures:
    """Every figure of a month. The cost follows the month's own lines, not the age of the ledger."""
    ledger, moves = ledger_of(month)
    costs = repair_costs(month)
    later, moved_only = later_changes(month)
    where = position(last_day(month))
    off = tuple(
        Row(f"{place}", item.label, item.amount)
        for place, item in enumerate(where.subtractions)
        if item.amount
    )
    return Figures(
        ledger=ledger,
        bank=_turnover(ledger, moves, BANK),
        shelf=_turnover(ledger, moves, SHELF),
        cores_out=total(row.closing for row in ledger.holdings if row.account == CORES),
        repairs=tuple(repairs_of_month(month, costs)),
        loose_cost=total(costs.get(None, {}).values()),
        promise=Promise(where.bank, off, where.free_to_commit),
        hours=tuple(hours_of_month(month)),
        labor_posted=labor_posted(moves),
        counts=counts_of_month(month),
        later=tuple(later),
        later_moves=moved_only,
        rules=public_rules(month),
        income_line=income_line(month),
    )


def _turnover(ledger: Ledger, moves: Moves, account: str) -> Turnover:
    held = next((row for row in ledger.holdings if row.account == account), None)
    opening, closing = (held.opening, held.closing) if held else (Money.zero, Money.zero)
    return Turnover(opening, moves.side("debit", account), moves.side("credit", account), closing)


PUBLIC_RULES = (
    "fund_name",
    "town",
    "gifts_deductible",
    "guideline_percent",
    "reserve_floor",
    "owner_limit",
    "free_share_percent",
    "approval_days",
    "decision_days",
    "core_days",
    "period_months",
    "period_repairs",
    "household_cap",
)


def public_rules(month: str) -> dict[str, Any]:
    """The fund's written rules in force at the end of a month, as far as a record shows them (money in minor units)."""
    rules = rules_on(last_day(month))
    told = {name: rules[name] for name in PUBLIC_RULES}
    told["tolerance"] = tolerance_rule(last_day(month)).words
    return {name: value.minor if isinstance(value, Money) else value for name, value in told.items()}


def income_line(month: str) -> dict[str, Any] | None:
    """What a household may have a year by its size, by the table and percent in use at the end of a month.

    The table is that of the area most households live in. None where no such table is in use.
    """
    end = last_day(month)
    rules = rules_on(end)
    line, percent = rules["income_line"], rules["guideline_percent"]
    most = Household.objects.values_list("area").annotate(many=Count("pk")).order_by("-many", "area").first()
    area = most[0] if most else "contiguous"
    tables = [row.table for row in GuidelineTable.objects.filter(line=line)]
    try:
        table = table_in_use(tables, area, end, line)
    except Refusal:
        return None
    return {
        "year": table.year,
        "line": table.line,
        "area": AREAS.get(table.area, table.area),
        "percent": percent,
        "source": table.source,
        "sizes": [size.minor * percent // 100 for size in table.sizes],
        "each_more": table.each_more.minor * percent // 100,
    }


@dataclass(frozen=True, slots=True)
class MonthRow:
    """A month as the crew's list shows it."""

    key: str
    closed_at: datetime | None
    closed_by: str
    closed_by_username: str
    published_at: datetime | None
    digest: str

    @property
    def state(self) -> str:
        if self.published_at:
            return "published"
        return "closed" if self.closed_at else "open"


def months(newest_first: bool = True) -> list[MonthRow]:
    """Every month from the first posting to the present one. Four queries."""
    first = first_month()
    if first is None:
        return []
    closed = {
        row.key: row for row in Month.objects.filter(closed_at__isnull=False).select_related("closed_by")
    }
    published = {row.month: row for row in PublishedMonth.objects.defer("record")}
    rows, key, last = [], first, month_of(clock.today())
    while key <= max(last, first):
        shut, out = closed.get(key), published.get(key)
        rows.append(
            MonthRow(
                key=key,
                closed_at=shut.closed_at if shut else None,
                closed_by=shut.closed_by.label if shut and shut.closed_by else "",
                closed_by_username=shut.closed_by.username if shut and shut.closed_by else "",
                published_at=out.published_at if out else None,
                digest=out.digest if out else "",
            )
        )
        key = next_month(key)
    return rows[::-1] if newest_first else rows


def last_published() -> PublishedMonth | None:
    return PublishedMonth.objects.order_by("-month", "-version").first()


def next_to_publish() -> str | None:
    """The first closed month that has not been published, or None."""
    last, first, closed = last_published(), first_month(), last_closed_month()
    key = next_month(last.month) if last else first
    return key if key and closed and key <= closed else None


def published_chain() -> Iterator[tuple[str, str, str]]:
    """(month, record text, digest) of every published month, oldest first."""
    rows = PublishedMonth.objects.order_by("month", "version").values_list("month", "record", "digest")
    yield from rows.iterator()


def record_of(published: PublishedMonth) -> dict[str, Any]:
    record: dict[str, Any] = json.loads(published.record)
    return record


def files_of(published: PublishedMonth) -> Iterator[tuple[str, bytes]]:
    """(name, content) of every file of a published month."""
    for name, data in published.files.order_by("name").values_list("name", "content"):
        yield name, bytes(data)


def public_lines(month: str) -> Iterator[tuple[Any, ...]]:
    """The month's ledger lines fit for the public: no names, texts or days; a repair by its alias."""
    aliases = dict(RepairOrder.objects.values_list("number", "alias"))
    labels = dict(CostObject.objects.values_list("code", "label"))
    rows = (
        Line.objects.filter(month=month)
        .order_by("entry_id", "ordinal")
        .values_list(
            "entry_id",
            "ordinal",
            "entry__kind",
            "account_id",
            "account__name",
            "purpose_id",
            "cost_object_id",
            "amount",
        )
    )
    for entry, ordinal, kind, account, name, purpose, cost_object, amount in rows.iterator(2000):
        repair = aliases.get(cost_object) or labels.get(cost_object, "") if cost_object else ""
        yield (
            entry,
            ordinal,
            kind,
            account,
            name,
            purpose,
            repair,
            max(amount, Money.zero),
            max(-amount, Money.zero),
        )
