"""The gifts room proved against the books: what waits undeposited, what platforms hold, what payouts are made of."""

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet, Sum

from fund.gifts.models import (
    CashCount,
    Deposit,
    Gift,
    GiftBenefit,
    GiftCorrection,
    GiftReturn,
    Loan,
    LoanMove,
    Payout,
    Platform,
    PlatformFee,
)
from fund.gifts.rules import CASH, CHECK
from fund.gifts.rules_counts import gaps
from fund.gifts.rules_terms import CONDITIONAL, EARMARKED, UNIDENTIFIED
from fund.ledger.chart import (
    BANK,
    BENEFITS,
    GIFTS,
    GIFTS_GOODS,
    GIFTS_RESTRICTED,
    HOUSEHOLD_SHARE,
    LOANS,
    REFUNDABLE,
    UNDEPOSITED,
)
from fund.ledger.chart import UNIDENTIFIED as UNIDENTIFIED_ACCOUNT
from fund.ledger.models import Line
from fund.ledger.queries import balance
from fund.money import Money


def _sums(rows: QuerySet, key: str, *columns: str) -> dict[Any, list[int]]:
    """Sums of amount columns by a key, in minor units."""
    names = {f"sum_{column}": Sum(column) for column in columns}
    found = rows.order_by().values(key).annotate(**names)
    return {row[key]: [row[name].minor if row[name] else 0 for name in names] for row in found}


def undeposited_breaks() -> Iterator[str]:
    """Counts and checks not banked against the account that holds them, and each deposit against its parts."""
    counts = _sums(CashCount.objects.filter(void_on=None), "deposit", "total")
    checks = _sums(Gift.objects.filter(kind__in=(CASH, CHECK), count=None), "deposit", "amount")
    waiting = Money(counts.get(None, [0])[0] + checks.get(None, [0])[0])
    if waiting != (held := balance(UNDEPOSITED)):
        yield f"Counts and checks not banked add up to {waiting}, but account {UNDEPOSITED} holds {held}."
    numbers = (int(code[2:]) for code in CashCount.objects.order_by().values_list("code", flat=True))
    if missing := gaps(numbers):
        yield f"Count sheets are missing: {', '.join(f'C-{number:04}' for number in missing)}."
    for deposit in Deposit.objects.iterator():
        parts = Money(counts.get(deposit.pk, [0])[0] + checks.get(deposit.pk, [0])[0])
        if parts != deposit.total:
            yield f"{deposit.code} is {deposit.total}, but its counts and checks add up to {parts}."


def clearing_breaks() -> Iterator[str]:
    """What no payout has brought yet, against each platform's clearing account."""
    gifts = _sums(
        Gift.objects.filter(payout=None), "platform", "amount", "platform_fee", "processing_fee", "exchange"
    )
    back = _sums(GiftReturn.objects.filter(payout=None), "platform", "amount", "fee", "exchange")
    fees = _sums(PlatformFee.objects.filter(payout=None), "platform", "amount")
    for platform in Platform.objects.all():
        gross, share, cost, lost = gifts.get(platform.pk, [0, 0, 0, 0])
        waiting = (
            gross - share - cost - lost - sum(back.get(platform.pk, [0])) - sum(fees.get(platform.pk, [0]))
        )
        held = balance(platform.account_id)
        if Money(waiting) != held:
            yield (
                f"{platform.name}: rows not paid out come to {Money(waiting)}, but account "
                f"{platform.account_id} holds {held}."
            )


def waiting_breaks() -> Iterator[str]:
    """Gifts that are not ours yet, benefits and loans, one by one against the liabilities that hold them."""
    refundable = _sum(Gift.objects.filter(nature__in=(CONDITIONAL, EARMARKED), settlement=None), "amount")
    unknown = _sum(Gift.objects.filter(nature=UNIDENTIFIED, settlement=None), "amount")
    benefits = _sum(GiftBenefit.objects.filter(sent_on=None, ended_on=None), "value")
    loans = _sum(Loan.objects.all(), "amount") - _sum(LoanMove.objects.all(), "amount")
    told = (
        ("Gifts that may have to go back", REFUNDABLE, refundable),
        ("Deposits from nobody known", UNIDENTIFIED_ACCOUNT, unknown),
        ("Benefits not sent", BENEFITS, benefits),
        ("Loans not repaid", LOANS, loans),
    )
    for words, account, amount in told:
        if amount != (held := -balance(account)):
            yield f"{words} add up to {amount}, but account {account} holds {held}."


def _sum(rows: QuerySet, column: str) -> Money:
    return rows.aggregate(sum=Sum(column))["sum"] or Money.zero


def payout_breaks() -> Iterator[str]:
    """Each payout against its gifts, returns and fees, and against its line in the bank."""
    gifts = _sums(
        Gift.objects.exclude(payout=None), "payout", "amount", "platform_fee", "processing_fee", "exchange"
    )
    back = _sums(GiftReturn.objects.exclude(payout=None), "payout", "amount", "fee", "exchange")
    fees = _sums(PlatformFee.objects.exclude(payout=None), "payout", "amount")
    lines = Line.objects.filter(account=BANK, entry__in=Payout.objects.values("entry"))
    bank = _sums(lines, "entry", "amount")
    for payout in Payout.objects.iterator():
        said = payout.platform_fee + payout.processing_fee + payout.dispute_fee
        gross, share, cost, lost = gifts.get(payout.pk, [0, 0, 0, 0])
        returned, charged, dearer = back.get(payout.pk, [0, 0, 0])
        kept = share + cost + charged + fees.get(payout.pk, [0])[0]
        told = [payout.gross, said, payout.refunds]
        rows = [Money(gross), Money(kept), Money(returned)]
        if payout.exchange or lost + dearer:
            told.append(payout.exchange)
            rows.append(Money(lost + dearer))
        if told != rows:
            yield (
                f"Payout {payout.ref} says {' - '.join(map(str, told))}, its rows say "
                f"{' - '.join(map(str, rows))}."
            )
        banked = Money(bank.get(payout.entry_id, [0])[0])
        if banked != payout.net:
            yield f"Payout {payout.ref} is {payout.net}, but {banked} went to the bank."


_INCOME = (
    *(GIFTS, GIFTS_RESTRICTED, GIFTS_GOODS, HOUSEHOLD_SHARE),
    *(UNIDENTIFIED_ACCOUNT, REFUNDABLE, BENEFITS),
)


def gift_breaks() -> Iterator[str]:
    """Each entry that brought gifts in against those gifts, as they were before any correction of an amount."""
    gifts: dict[int, list[tuple[str, int]]] = {}
    first = dict(GiftCorrection.objects.order_by("-id").values_list("gift_id", "before"))
    last = dict(GiftCorrection.objects.order_by("id").values_list("gift_id", "after"))
    rows = Gift.objects.exclude(entry=None).order_by("id").values_list("pk", "code", "entry_id", "amount")
    for pk, code, entry, amount in rows.iterator(5000):
        if last.get(pk, amount) != amount:
            yield f"{code} is {amount}, but it was corrected to {last[pk]}."
        gifts.setdefault(entry, []).append((code, first.get(pk, amount).minor))
    credits = Line.objects.filter(account__in=_INCOME, amount__lt=0, entry__gifts__isnull=False)
    lines = Line.objects.filter(pk__in=credits.values("pk"))
    booked = {entry: -minor for entry, (minor,) in _sums(lines, "entry", "amount").items()}
    for entry, parts in gifts.items():
        said = Money(sum(minor for _, minor in parts))
        if said != (held := Money(booked.get(entry, 0))):
            names = parts[0][0] if len(parts) == 1 else f"{parts[0][0]} and {len(parts) - 1} more"
            yield f"Entry {entry} brought in {held}, but its gifts ({names}) come to {said}."
