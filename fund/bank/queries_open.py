"""What is open between the bank and the books: lines and entries that no standing match holds."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from fund.bank.models import MatchPart, StatementLine
from fund.bank.rules import BOX_SUM, DELETE
from fund.bank.rules_matching import Side, Suggestion, refs_of, suggest
from fund.ledger.chart import BANK, GENERAL
from fund.ledger.models import Line
from fund.money import Money, total


def standing_lines(until: date | None = None) -> QuerySet[StatementLine]:
    """Lines as they stand (at the end of a day): corrected ones and those that only take another away are left out."""
    if until is None:
        return StatementLine.objects.filter(corrected_by=None).exclude(correction=DELETE)
    stands = Q(corrected_by=None) | Q(corrected_by__on__gt=until)
    return StatementLine.objects.filter(stands, on__lte=until).exclude(correction=DELETE)


def open_lines(until: date | None = None) -> QuerySet[StatementLine]:
    """Lines of the bank that stand and are in no standing match; lines of 0.00 need none."""
    matched = MatchPart.objects.filter(bank_line=OuterRef("pk"), group__undone=None)
    return standing_lines(until).filter(~Exists(matched)).exclude(amount=0).order_by("on", "pk")


@dataclass(slots=True)
class BookItem:
    """What an entry moves in the bank account and no standing match holds (signed, money in positive)."""

    number: int
    on: date
    posted: date
    text: str
    source: str
    reverses: int | None
    lines: list[Line] = field(default_factory=list)

    @property
    def amount(self) -> Money:
        return total(line.amount for line in self.lines)

    @property
    def words(self) -> str:
        said = dict.fromkeys(line.text for line in self.lines if line.text and line.text != self.text)
        return " ".join(filter(None, [self.text, self.source, *said]))


def open_items(until: date | None = None, cleared_by: date | None = None) -> list[BookItem]:
    """Open entries posted up to a day. With ``cleared_by``, a match counts only if the bank had shown it all by then.

    Left out: moves between purposes inside the account, which no bank sees, and an entry with the one that reverses it.
    """
    parts = MatchPart.objects.filter(book_line=OuterRef("pk"), group__undone=None)
    if cleared_by is not None:
        parts = parts.filter(group__cleared_on__lte=cleared_by)
    rows = Line.objects.filter(account=BANK, entry__isnull=False).filter(~Exists(parts))
    if until is not None:
        rows = rows.filter(posting_date__lte=until)
    items: dict[int, BookItem] = {}
    for line in rows.select_related("entry").order_by("posting_date", "entry_id", "ordinal"):
        entry = line.entry
        if entry.number not in items:
            items[entry.number] = BookItem(
                entry.number,
                line.document_date,
                line.posting_date,
                entry.text,
                entry.source,
                entry.reverses_id,
            )
        items[entry.number].lines.append(line)
    return [item for item in _without_reversed(items) if item.amount]


def _without_reversed(items: dict[int, BookItem]) -> Iterable[BookItem]:
    gone = set()
    for item in items.values():
        old = items.get(item.reverses or 0)
        if old is not None and old.amount == -item.amount:
            gone |= {item.number, old.number}
    return (item for item in items.values() if item.number not in gone)


def suggestions(until: date | None = None) -> list[Suggestion]:
    """What the open lines and entries suggest; keys are those of statement lines and entry numbers. Two queries."""
    lines = [
        Side(
            line.pk,
            line.on,
            line.amount,
            line.words,
            refs_of(line.name, line.text, line.check_number, line.ref),
        )
        for line in open_lines(until)
    ]
    items = [
        Side(item.number, item.on, item.amount, item.words, refs_of(item.words), item.source)
        for item in open_items()
    ]
    return suggest(lines, items)


def not_yet_shown(day: date) -> dict[str, Money] | None:
    """Money in the books' bank account that the bank has not shown by a day, by purpose; None without any statement.

    Only what adds to the account: outstanding checks have left the books already. What a changed sum of petty cash moves
    out and back is the same money, so that those moves count together: a mistyped sum put right is no deposit.
    """
    if not StatementLine.objects.exists():
        return None
    held: dict[str, Money] = defaultdict(lambda: Money.zero)
    box = Money.zero
    for item in open_items(day, cleared_by=day):
        if item.source == BOX_SUM:
            box += item.amount
        elif item.amount > Money.zero:
            for line in item.lines:
                held[line.purpose_id] += line.amount
    if box > Money.zero:
        held[GENERAL] += box
    return dict(held)
