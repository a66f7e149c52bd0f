"""The bank's lines and matches proved again."""

from collections import Counter, defaultdict
from collections.abc import Iterator

from django.db.models import F

from fund.bank.models import MatchPart, Reconciliation, ReconciliationReview, StatementFile, StatementLine
from fund.bank.queries_reconciling import bank_balance
from fund.bank.rules import DELETE, REPLACE
from fund.bank.rules_reconciling import thawed
from fund.ledger.chart import BANK
from fund.money import Money


def match_breaks() -> Iterator[str]:
    """Both sides of every standing match have the same sum, and nothing stands in two of them."""
    sums: dict[str, int] = defaultdict(int)
    held: Counter[tuple[str, int]] = Counter()
    parts = MatchPart.objects.filter(group__undone=None).order_by("pk")
    names = (
        "group__code",
        "bank_line_id",
        "bank_line__amount",
        "book_line_id",
        "book_line__amount",
        "book_line__account_id",
    )
    for code, bank, amount, book, booked, account in parts.values_list(*names).iterator():
        sums[code] += amount.minor if bank is not None else -booked.minor
        held["line of the bank" if bank is not None else "line of the books", bank or book] += 1
        if book is not None and account != BANK:
            yield f"{code} holds a line of account {account}, which is not the bank."
    for code, rest in sums.items():
        if rest:
            yield f"The two sides of {code} are {Money(rest)} apart."
    for (side, key), many in held.items():
        if many > 1:
            yield f"The {side} with id {key} stands in {many} matches."


def statement_breaks() -> Iterator[str]:
    """Each line's effect follows from its amount, and the lines come to the closing balance of each statement."""
    rows = StatementLine.objects.filter(correction="").exclude(effect=F("amount"))
    for ref in rows.values_list("ref", flat=True):
        yield f"The bank's line {ref} counts with another amount than its own."
    for line in StatementLine.objects.filter(correction__in=(REPLACE, DELETE)).select_related("corrects"):
        old = line.corrects.amount if line.corrects is not None else Money.zero
        new = Money.zero if line.correction == DELETE else line.amount
        if line.effect != new - old:
            yield f"The bank's correction {line.ref} counts {line.effect} instead of {new - old}."
    newest = (
        StatementFile.objects.defer("data")
        .exclude(closing=None)
        .exclude(ends=None)
        .order_by("-ends", "-pk")
        .first()
    )
    if newest is not None and newest.ends is not None and newest.closing is not None:
        here = bank_balance(newest.ends)
        if here != newest.closing:
            yield f"The bank's lines come to {here} on {newest.ends}; {newest.name} says {newest.closing}."


def reconciliation_breaks() -> Iterator[str]:
    """Every reconciliation comes to 0.00 in its own figures, and nobody reviewed what they prepared."""
    for found in Reconciliation.objects.all().iterator():
        kept = thawed(found.snapshot)
        if kept.difference or (kept.statement, kept.books) != (found.statement_balance, found.book_balance):
            yield f"The bank reconciliation of {found.month} does not come to 0.00."
    own = ReconciliationReview.objects.filter(prepared_by=F("reviewed_by"))
    for month in own.values_list("reconciliation__month", flat=True):
        yield f"The bank reconciliation of {month} was reviewed by the one who prepared it."
