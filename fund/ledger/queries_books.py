"""What the pages of the books ask: entries with their size, lines, accounts with what they hold, purposes rolled forward."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import OuterRef, QuerySet, Subquery, Sum

from fund.ledger.models import Account, Entry, Line, Purpose
from fund.ledger.queries import balances, family
from fund.money import Money, MoneyField, total


def entries() -> QuerySet[Entry]:
    """Entries, latest first; ``size`` is the sum of their debits (minor units)."""
    debits = (
        Line.objects.filter(entry=OuterRef("pk"), amount__gt=0)
        .order_by()
        .values("entry")
        .annotate(sum=Sum("amount"))
    )
    size = Subquery(debits.values("sum"), output_field=MoneyField())
    return Entry.objects.select_related("by").annotate(size=size).order_by("-number")


def lines() -> QuerySet[Line]:
    """All lines, latest first."""
    chosen = Line.objects.filter(entry__isnull=False).select_related(
        "entry", "account", "purpose", "cost_object"
    )
    return chosen.order_by("-entry_id", "-ordinal")


def lines_of_entry(entry: Entry) -> QuerySet[Line]:
    return (
        Line.objects.filter(entry=entry)
        .select_related("account", "purpose", "cost_object")
        .order_by("ordinal")
    )


def account_lines(
    account: Account, since: date | None = None, until: date | None = None
) -> tuple[QuerySet[Line], Money]:
    """The lines of an account and its sub-accounts in a span of days, latest first, and what it holds at the span's end."""
    chosen = lines().filter(account__in=family(account.code))
    if until:
        chosen = chosen.filter(posting_date__lte=until)
    closing = chosen.aggregate(sum=Sum("amount"))["sum"] or Money.zero
    if since:
        chosen = chosen.filter(posting_date__gte=since)
    return chosen.order_by("-posting_date", "-entry_id", "-ordinal"), closing


@dataclass(frozen=True, slots=True)
class AccountRow:
    """An account with its signed balance (debit positive) split on two sides; both are zero if it holds nothing."""

    code: str
    name: str
    kind: str
    balance: Money

    @property
    def debit(self) -> Money | None:
        return self.balance if self.balance > Money.zero else None

    @property
    def credit(self) -> Money | None:
        return -self.balance if self.balance < Money.zero else None


def account_rows(until: date | None = None) -> list[AccountRow]:
    """Every account of the chart with its own balance at the end of a day (default: all that is posted)."""
    held: dict[str, Money] = defaultdict(lambda: Money.zero)
    for (code, _), amount in balances(until).items():
        held[code] += amount
    return [
        AccountRow(row.code, row.name, row.kind, held[row.code]) for row in Account.objects.order_by("code")
    ]


@dataclass(frozen=True, slots=True)
class PurposeRow:
    """A purpose over a span of days. ``opening`` + ``received`` - ``spent`` + ``moved`` = ``closing``.

    ``received`` is income less what was returned, ``spent`` is expense booked in the purpose itself, and ``moved`` is
    what came from (or, below zero, went to) another purpose when a restriction was met.
    """

    code: str
    name: str
    restricted: bool
    opening: Money
    received: Money
    spent: Money
    moved: Money

    @property
    def closing(self) -> Money:
        return self.opening + self.received - self.spent + self.moved


def purpose_rows(since: date | None, until: date | None) -> list[PurposeRow]:
    """Every purpose rolled forward over a span of days, both ends included; None opens the span at that end."""
    start = balances(since - timedelta(days=1)) if since else {}
    end = balances(until)
    opening: dict[str, Money] = defaultdict(lambda: Money.zero)
    moves: dict[tuple[str, str], Money] = defaultdict(lambda: Money.zero)
    for (code, purpose), amount in start.items():
        if code[0] in "345":
            opening[purpose] -= amount
            moves[purpose, code[0]] += amount
    for (code, purpose), amount in end.items():
        if code[0] in "345":
            moves[purpose, code[0]] -= amount
    return [
        PurposeRow(
            row.code,
            row.name,
            row.restricted,
            opening[row.code],
            moves[row.code, "4"],
            -moves[row.code, "5"],
            moves[row.code, "3"],
        )
        for row in Purpose.objects.all()
    ]


def size_of(lines: Sequence[Line]) -> Money:
    """The sum of the debits among some lines."""
    return total(line.amount for line in lines if line.amount > Money.zero)
