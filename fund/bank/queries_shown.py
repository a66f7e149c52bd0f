"""What single entries brought into the bank account that the bank has not shown yet."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from django.db.models import Exists, OuterRef

from fund.bank.models import MatchPart
from fund.ledger.chart import BANK
from fund.ledger.models import Line
from fund.money import Money, total


def entries_not_shown(entries: Collection[int], day: date) -> dict[tuple[int, str], Money]:
    """By entry number and purpose; an entry that takes from the account is left out. One query."""
    shown = MatchPart.objects.filter(book_line=OuterRef("pk"), group__undone=None, group__cleared_on__lte=day)
    lines = Line.objects.filter(account=BANK, entry__in=sorted(entries), posting_date__lte=day)
    found: dict[int, list[Line]] = defaultdict(list)
    for line in lines.filter(~Exists(shown)).order_by("entry_id", "ordinal"):
        found[line.entry_id].append(line)
    sums: dict[tuple[int, str], Money] = defaultdict(lambda: Money.zero)
    for number, rows in found.items():
        if total(row.amount for row in rows) > Money.zero:
            for row in rows:
                sums[number, row.purpose_id] += row.amount
    return dict(sums)
