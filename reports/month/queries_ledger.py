"""What the ledger says of a month: sums in SQL over the month's own lines, on top of the balances frozen before it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Q, Sum

from fund.gifts.models import Gift
from fund.gifts.rules_terms import OURS_AT_ONCE
from fund.ledger.chart import CORES, GENERAL, GIFTS, GIFTS_RESTRICTED, LABOR, REPAIR_COST
from fund.ledger.models import Account, Line, Month, MonthBalance, Purpose
from fund.ledger.queries import balances
from fund.ledger.rules import Pots, last_day, previous_month
from fund.money import Money, total
from reports.month.rules import Holding, Ledger, PurposeRoll, Row
from reports.month.rules_labels import ACCOUNT_LABELS, BROUGHT_IN, GIFT_LABELS, LABOR_PAIR, STATED_PURPOSE


@dataclass(frozen=True, slots=True)
class Moves:
    """Turnover of a month by (account, purpose): debits and credits, both positive."""

    debit: Pots
    credit: Pots

    def net(self, account: str, purpose: str) -> Money:
        """Debits less credits."""
        at = (account, purpose)
        return self.debit.get(at, Money.zero) - self.credit.get(at, Money.zero)

    def side(self, which: str, *accounts: str) -> Money:
        """The whole debit or credit turnover of some accounts."""
        pots: Pots = getattr(self, which)
        return total(amount for (code, _), amount in pots.items() if code in accounts)

    @property
    def keys(self) -> set[tuple[str, str]]:
        return {*self.debit, *self.credit}


def opening_pots(month: str) -> Pots:
    """Signed balances the day before a month begins. One query when the month before is closed."""
    before = previous_month(month)
    if Month.objects.filter(key=before, closed_at__isnull=False).exists():
        rows = MonthBalance.objects.filter(month=before).values_list("account_id", "purpose_id", "closing")
        return {(account, purpose): closing for account, purpose, closing in rows}
    return balances(last_day(before))


def month_moves(month: str) -> Moves:
    """Debit and credit sums of the month's lines, in one query."""
    rows = (
        Line.objects.filter(month=month)
        .order_by()
        .values_list("account_id", "purpose_id")
        .annotate(debit=Sum("amount", filter=Q(amount__gt=0)), credit=Sum("amount", filter=Q(amount__lt=0)))
    )
    debit, credit = {}, {}
    for account, purpose, plus, minus in rows:
        if plus:
            debit[account, purpose] = plus
        if minus:
            credit[account, purpose] = -minus
    return Moves(debit, credit)


def gifts_by_kind(month: str) -> dict[str, Money]:
    """General money gifts posted in the month, by how they came in, gross; what is owed in return for them is no gift.

    Money that was not the fund's when it came is left out; once it is settled it counts among other gifts.
    """
    # Filtered here by purpose and kind, not in SQL: the month must be the only way into the gifts, or SQLite without
    # statistics takes the index of the purpose and reads every gift there ever was.
    rows = (
        Gift.objects.filter(entry__month=month)
        .order_by()
        .values_list("kind", "purpose_id", "nature", "count__void_on")
        .annotate(sum=Sum("amount"), owed=Sum("benefit__value"))
    )
    sums: dict[str, Money] = {}
    for kind, purpose, nature, void, amount, owed in rows:
        if purpose == GENERAL and kind != "goods" and nature in OURS_AT_ONCE and not void:
            sums[kind] = sums.get(kind, Money.zero) + amount - (owed or Money.zero)
    return sums


def released_by_purpose(month: str) -> tuple[dict[str, Money], dict[str, Money]]:
    """What moved between purposes in the month, and what was brought into the books, by purpose.

    An entry whose lines on net assets cancel out moved money between purposes; one whose lines do not brought
    a balance in (the opening entry of the books).
    """
    by_entry: dict[int, dict[str, Money]] = defaultdict(dict)
    rows = (
        Line.objects.filter(month=month, account__kind="net assets")
        .order_by()
        .values_list("entry_id", "purpose_id")
        .annotate(sum=Sum("amount"))
    )
    for entry, purpose, amount in rows:
        by_entry[entry][purpose] = amount
    released: dict[str, Money] = defaultdict(lambda: Money.zero)
    brought: dict[str, Money] = defaultdict(lambda: Money.zero)
    for parts in by_entry.values():
        into = brought if total(parts.values()) else released
        for purpose, amount in parts.items():
            into[purpose] -= amount
    return released, brought


def ledger_of(month: str) -> tuple[Ledger, Moves]:
    """The month's money table, holdings and purposes, with the turnover they come from."""
    accounts = {account.code: account for account in Account.objects.all()}
    purposes = list(Purpose.objects.all())
    opening, moves = opening_pots(month), month_moves(month)
    released, brought = released_by_purpose(month)
    incomes = {code for code, account in accounts.items() if account.kind == "income"} - set(LABOR_PAIR)
    costs = {code for code, account in accounts.items() if account.kind == "expense"} - set(LABOR_PAIR)
    held = [code for code, account in accounts.items() if account.kind in ("asset", "liability")]
    rows_in = _income_rows(month, accounts, purposes, incomes, moves)
    start = total(brought.values())
    if start:
        rows_in.append(Row("brought", BROUGHT_IN, start))
    ledger = Ledger(
        month=month,
        money_in=tuple(rows_in),
        money_out=tuple(_cost_rows(accounts, sorted(costs), moves)),
        holdings=tuple(_holdings(accounts, held, opening, moves)),
        purposes=tuple(_rolls(purposes, held, opening, moves, (incomes, costs), (released, brought))),
    )
    return ledger, moves


def _income_rows(
    month: str, accounts: Mapping[str, Account], purposes: Iterable[Purpose], incomes: set[str], moves: Moves
) -> list[Row]:
    by_account = _by_account(moves, incomes, sign=-1)
    kinds = gifts_by_kind(month)
    kinds["other"] = by_account.pop(GIFTS, Money.zero) - total(kinds.values())
    rows = [Row(kind, label, kinds[kind]) for kind, label in GIFT_LABELS.items() if kinds.get(kind)]
    by_account.pop(GIFTS_RESTRICTED, None)
    for purpose in purposes:
        amount = -moves.net(GIFTS_RESTRICTED, purpose.code)
        if amount:
            rows.append(
                Row(f"{GIFTS_RESTRICTED}:{purpose.code}", f"{STATED_PURPOSE}: {purpose.name}", amount)
            )
    rows += [
        Row(code, _label(accounts[code]), amount) for code, amount in sorted(by_account.items()) if amount
    ]
    return rows


def _cost_rows(accounts: Mapping[str, Account], costs: list[str], moves: Moves) -> list[Row]:
    by_account = _by_account(moves, set(costs), sign=1)
    return [Row(code, _label(accounts[code]), by_account[code]) for code in costs if by_account.get(code)]


def _by_account(moves: Moves, codes: set[str], sign: int) -> dict[str, Money]:
    sums: dict[str, Money] = defaultdict(lambda: Money.zero)
    for code, purpose in moves.keys:
        if code in codes:
            sums[code] += moves.net(code, purpose) * sign
    return dict(sums)


def _label(account: Account) -> str:
    return ACCOUNT_LABELS.get(account.code, account.name)


def _holdings(accounts: Mapping[str, Account], held: list[str], opening: Pots, moves: Moves) -> list[Holding]:
    rows = []
    for code in held:
        start = total(amount for (account, _), amount in opening.items() if account == code)
        end = start + moves.side("debit", code) - moves.side("credit", code)
        if start or end:
            rows.append(Holding(code, accounts[code].name, start, end))
    return rows


def _rolls(
    purposes: Iterable[Purpose],
    held: list[str],
    opening: Pots,
    moves: Moves,
    sides: tuple[set[str], set[str]],
    net_assets: tuple[Mapping[str, Money], Mapping[str, Money]],
) -> list[PurposeRoll]:
    (incomes, costs), (released, brought) = sides, net_assets
    rolls = []
    for purpose in purposes:
        code = purpose.code
        start = total(amount for (account, pot), amount in opening.items() if pot == code and account in held)
        money_in = total(-moves.net(account, code) for account in incomes) + brought.get(code, Money.zero)
        money_out = total(moves.net(account, code) for account in costs)
        change = total(moves.net(account, code) for account in held)
        moved = released.get(code, Money.zero)
        if start or money_in or money_out or moved or change:
            roll = PurposeRoll(
                code, purpose.name, purpose.restricted, start, money_in, moved, money_out, start + change
            )
            rolls.append(roll)
    return rolls


def repair_costs(month: str) -> dict[str | None, dict[str, Money]]:
    """Repair cost of the month by cost object and account; None collects cost on no repair order."""
    rows = (
        Line.objects.filter(month=month, account__in=REPAIR_COST)
        .order_by()
        .values_list("cost_object_id", "account_id")
        .annotate(sum=Sum("amount"))
    )
    found: dict[str | None, dict[str, Money]] = defaultdict(dict)
    for cost_object, account, amount in rows:
        found[cost_object][account] = amount
    return dict(found)


def cores_still_out(cost_objects: list[str], month: str) -> dict[str, Money]:
    """Core deposits not yet back at the end of a month, by cost object, one query."""
    rows = (
        Line.objects.filter(cost_object__in=cost_objects, posting_date__lte=last_day(month))
        .order_by()
        .values_list("cost_object_id", "account_id")
        .annotate(sum=Sum("amount"))
    )
    return {code: amount for code, account, amount in rows if code is not None and account == CORES}


def labor_posted(moves: Moves) -> Money:
    """Donated labor posted as a cost in the month (its mirror is income of the same amount)."""
    return moves.side("debit", LABOR) - moves.side("credit", LABOR)
