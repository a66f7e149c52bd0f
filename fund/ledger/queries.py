from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Min, Q, Sum

from fund import clock
from fund.ledger.chart import REPAIR_COST
from fund.ledger.models import Account, Entry, Line, Month, MonthBalance
from fund.ledger.rules import Pots, earliest_day, first_day, month_of, next_month
from fund.money import Money


def last_closed_month() -> str | None:
    return Month.objects.filter(closed_at__isnull=False).aggregate(last=Max("key"))["last"]


def first_open_day() -> date:
    """The earliest day that may still be posted to."""
    last = last_closed_month()
    return first_day(next_month(last)) if last else date.min


def first_month() -> str | None:
    return Entry.objects.aggregate(first=Min("month"))["first"]


def first_possible_day() -> date:
    """The earliest day that anything booked may be dated (:func:`fund.ledger.rules.earliest_day`)."""
    month = first_month()
    return earliest_day(first_day(month) if month else None, clock.today())


def latest_month() -> str | None:
    """The latest month with a posting."""
    return Entry.objects.aggregate(last=Max("month"))["last"]


def balances(until: date | None = None) -> Pots:
    """Signed balance (debit positive) by (account code, purpose code) of everything posted up to a day.

    Starts from the balances frozen at the last close before that day, so the cost follows the open months.
    """
    closed = Month.objects.filter(closed_at__isnull=False)
    if until is not None:
        closed = closed.filter(key__lt=month_of(until))
    base = closed.aggregate(last=Max("key"))["last"]
    pots: Pots = defaultdict(lambda: Money.zero)
    lines = Line.objects.filter(entry__isnull=False)
    if base:
        for account, purpose, closing in MonthBalance.objects.filter(month=base).values_list(
            "account_id", "purpose_id", "closing"
        ):
            pots[account, purpose] = closing
        lines = lines.filter(month__gt=base)
    if until is not None:
        lines = lines.filter(month__lte=month_of(until), posting_date__lte=until)
    rows = lines.order_by().values_list("account_id", "purpose_id").annotate(sum=Sum("amount"))
    for account, purpose, amount in rows:
        pots[account, purpose] += amount
    return dict(pots)


def family(code: str) -> set[str]:
    """An account's code with the codes of its sub-accounts."""
    return {code, *Account.objects.filter(parent_id=code).values_list("code", flat=True)}


def balance(account: str, *, until: date | None = None, purpose: str | None = None) -> Money:
    """Signed balance (debit positive) of an account and its sub-accounts, minor units."""
    codes = family(account)
    wanted = (
        amount.minor
        for (code, pot), amount in balances(until).items()
        if code in codes and (purpose is None or pot == purpose)
    )
    return Money(sum(wanted))


@dataclass(frozen=True, slots=True)
class TrialRow:
    account: Account
    debit: Money
    credit: Money


def trial_balance(until: date | None = None) -> list[TrialRow]:
    """Every account with a balance, on the side it lies on. The two columns have the same sum."""
    sums: dict[str, Money] = defaultdict(lambda: Money.zero)
    for (code, _), amount in balances(until).items():
        sums[code] += amount
    rows = []
    for account in Account.objects.all():
        amount = sums[account.code]
        if amount:
            rows.append(TrialRow(account, max(amount, Money.zero), max(-amount, Money.zero)))
    return rows


def cost_of(cost_object: str, until: date | None = None) -> Money:
    """What a repair cost in cash: parts, fluids, outside work, lost cores, redo parts. No deposits, no donated hours."""
    return costs_of([cost_object], until).get(cost_object, Money.zero)


def costs_of(
    cost_objects: list[str], until: date | None = None, accounts: Collection[str] = REPAIR_COST
) -> dict[str, Money]:
    """The cash cost of several cost objects in one query; ``accounts`` may leave out a kind of cost."""
    day = Q() if until is None else Q(posting_date__lte=until)
    # Sums of all accounts, of which the repair cost is taken here: asked for by account, SQLite without statistics would
    # walk through the account's whole past instead of the few lines of each cost object.
    rows = (
        Line.objects.filter(day, cost_object__in=cost_objects)
        .order_by()
        .values_list("cost_object_id", "account_id")
        .annotate(sum=Sum("amount"))
    )
    costs: dict[str, Money] = {}
    for code, account, amount in rows:
        if code is not None and account in accounts:
            costs[code] = costs.get(code, Money.zero) + amount
    return costs
