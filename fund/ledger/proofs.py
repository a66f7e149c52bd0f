"""Proves the ledger's laws again on a live database. Each break is a sentence that names what is wrong."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import groupby

from django.db.models import Count, F, Q, Sum

from fund.ledger.actions import entry_digest
from fund.ledger.models import Entry, Line, Month, MonthBalance
from fund.ledger.rules import FIRST_LINK, next_month, previous_month
from fund.money import Money
from fund.trail.models import TrailLine

Breaks = Iterator[str]


def chain_breaks() -> Breaks:
    """Numbers without gaps, each entry linked to the one before, each digest true to the content. Streams both tables."""
    entries = Entry.objects.order_by("number").iterator(2000)
    lines = groupby(
        Line.objects.order_by("entry_id", "ordinal").iterator(5000), key=lambda line: line.entry_id
    )
    pending = next(lines, None)
    before, number = FIRST_LINK, 0
    for entry in entries:
        number += 1
        while pending and pending[0] < entry.number:
            pending = next(lines, None)
        mine = list(pending[1]) if pending and pending[0] == entry.number else []
        if entry.number != number:
            yield f"Entry {number} is missing: the next one is number {entry.number}."
            number = entry.number
        if entry.prev_digest != before:
            yield f"Entry {entry.number} is not linked to the entry before it."
        if entry_digest(entry, mine) != entry.digest:
            yield f"Entry {entry.number} of {entry.posting_date} (“{entry.text}”) was changed after it was posted."
        before = entry.digest


def balance_breaks() -> Breaks:
    sums = Line.objects.order_by("entry_id", "purpose_id").values("entry_id", "purpose_id")
    for row in sums.annotate(sum=Sum("amount")).exclude(sum=0):
        yield f"Entry {row['entry_id']} is out of balance by {row['sum']} in purpose “{row['purpose_id']}”."
    orphans = (
        Line.objects.filter(~Q(entry_id__in=Entry.objects.values("number")))
        .order_by("entry_id")
        .values("entry_id")
    )
    for orphan in orphans.annotate(count=Count("id")):
        yield f"{orphan['count']} lines belong to entry {orphan['entry_id']}, which does not exist."
    moved = Line.objects.exclude(month=F("entry__month"), posting_date=F("entry__posting_date"))
    for number in moved.order_by("entry_id").values_list("entry_id", flat=True).distinct():
        yield f"Entry {number} has a line with another posting date than its own."


def month_breaks() -> Breaks:
    """Nothing posted in a month after its close, the frozen balances equal the lines, and a close stays a close."""
    months = {month.key: month for month in Month.objects.all()}
    closed = [month for month in months.values() if month.closed_at]
    for month in closed:
        late = Entry.objects.filter(month=month.key, created_at__gt=month.closed_at).order_by("number")
        for number in late.values_list("number", flat=True):
            yield f"Entry {number} was posted in {month.key} after that month was closed."
        yield from _balance_breaks_of(month)
        if not month.closed_by_id:
            yield f"{month.key} is closed, but nobody is named who closed it."
    yield from _reopened(closed)


def _reopened(closed: list[Month]) -> Breaks:
    """Months that the balances, the trail or a later month say were closed, and that are open or closed otherwise."""
    told = {row.subject: row for row in TrailLine.objects.filter(action="month.close").order_by("id")}
    frozen = set(MonthBalance.objects.order_by().values_list("month_id", flat=True).distinct())
    by_key = {month.key: month for month in closed}
    last = max(by_key, default="")
    for key in sorted({*frozen, *told} - {*by_key}):
        yield f"{key} is open, but it was closed before: somebody opened it behind the program's back."
    between = min(by_key, default="")
    while between < last:
        if between not in by_key and between not in frozen and between not in told:
            yield f"{between} is open, but the later month {last} is closed."
        between = next_month(between)
    for key, month in sorted(by_key.items()):
        if key not in told:
            yield f"{key} is closed, but the trail does not say who closed it."
        elif told[key].by_id != month.closed_by_id or not _about(month.closed_at, told[key].at):
            yield f"The close of {key} was changed: the trail tells another person or another time."


def _about(closed_at: datetime | None, told_at: datetime) -> bool:
    """The trail's line is written once the balances are frozen, in the same transaction."""
    return closed_at is not None and timedelta(0) <= told_at - closed_at < timedelta(hours=1)


def _balance_breaks_of(month: Month) -> Breaks:
    frozen = {(row.account_id, row.purpose_id): row for row in MonthBalance.objects.filter(month=month)}
    before = MonthBalance.objects.filter(month=previous_month(month.key)).values_list(
        "account_id", "purpose_id", "closing"
    )
    expected = {(account, purpose): closing for account, purpose, closing in before}
    moves = Line.objects.filter(month=month.key).order_by().values_list("account_id", "purpose_id")
    for account, purpose, amount in moves.annotate(sum=Sum("amount")):
        expected[account, purpose] = expected.get((account, purpose), Money.zero) + amount
    for key in sorted({*frozen, *expected}):
        row, amount = frozen.get(key), expected.get(key, Money.zero)
        held = row.closing if row else Money.zero
        if held != amount or (row and row.opening + row.debit - row.credit != row.closing):
            where = f"account {key[0]} ({key[1]}) at the close of {month.key}"
            yield f"The frozen balance of {where} is {held}, the lines say {amount}."


def ledger_counts() -> dict[str, int]:
    return {
        "entries": Entry.objects.count(),
        "lines": Line.objects.count(),
        "closed_months": Month.objects.filter(closed_at__isnull=False).count(),
    }
