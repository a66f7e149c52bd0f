"""The figures of a month's reconciliation, and which months are reconciled."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Q, Sum

from fund.bank.models import BankAccount, MatchPart, Reconciliation, StatementFile, StatementLine
from fund.bank.queries_open import BookItem, open_items, open_lines
from fund.bank.rules_reconciling import Item, Reckoning, same_figures, thawed, with_notes
from fund.ledger.chart import BANK
from fund.ledger.queries import balances
from fund.ledger.rules import last_day
from fund.money import Money, total


def bank_balance(until: date) -> Money:
    """What the bank's own lines come to at the end of a day."""
    return StatementLine.objects.filter(on__lte=until).aggregate(sum=Sum("effect"))["sum"] or Money.zero


def books_balance(until: date) -> Money:
    return total(amount for (code, _), amount in balances(until).items() if code == BANK)


def covered_until() -> date | None:
    """The last day that a stored statement covers."""
    return StatementFile.objects.aggregate(last=Max("ends"))["last"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A month's reckoning and the lines of the bank that nothing in the books answers yet."""

    month: str
    end: date
    reckoning: Reckoning
    unmatched: list[StatementLine]
    covered: date | None

    @property
    def open_sum(self) -> Money:
        return total(line.amount for line in self.unmatched)


def reckon(
    month: str, *, bank_errors: Mapping[int, str] | None = None, notes: Mapping[str, str] | None = None
) -> Sheet:
    """The two sides at a month's end, as the lines, the entries and their matches stand now.

    ``bank_errors`` names lines that are the bank's mistake (key: id of the line, value: what was done about it); ``notes``
    gives a word for an item (key: the item's). Other unmatched lines are counted on neither side, so they show as the
    difference.
    """
    end = last_day(month)
    told, words = dict(bank_errors or {}), dict(notes or {})
    open_now = list(open_lines(end))
    errors = tuple(
        Item(
            f"line-{line.pk}",
            line.words,
            line.on,
            -line.amount,
            (end - line.on).days,
            told[line.pk].strip()[:300],
        )
        for line in open_now
        if told.get(line.pk, "").strip()
    )
    wrong = {item.key for item in errors}
    half_in, half_out, only_bank = _half_shown(end)
    items = [_item(item, end) for item in open_items(end)]
    reckoning = Reckoning(
        statement=bank_balance(end),
        books=books_balance(end),
        in_transit=with_notes([*(item for item in items if item.amount > Money.zero), *half_in], words),
        outstanding=with_notes([*(item for item in items if item.amount < Money.zero), *half_out], words),
        bank_errors=errors,
        only_bank=with_notes(only_bank, words),
    )
    unmatched = [line for line in open_now if f"line-{line.pk}" not in wrong]
    return Sheet(month, end, reckoning, unmatched, covered_until())


def _item(item: BookItem, end: date) -> Item:
    return Item(f"entry-{item.number}", item.text, item.posted, item.amount, (end - item.posted).days)


def _half_shown(end: date) -> tuple[list[Item], list[Item], list[Item]]:
    """Matches that reach over the month's end: what one side had and the other had not by then."""
    reaching = Q(bank_line__on__gt=end) | Q(book_line__posting_date__gt=end)
    groups = MatchPart.objects.filter(reaching, group__undone=None).values("group")
    parts = MatchPart.objects.filter(group__in=groups).select_related(
        "bank_line", "book_line__entry", "group"
    )
    bank: dict[str, list[StatementLine]] = defaultdict(list)
    books: dict[str, list[MatchPart]] = defaultdict(list)
    for part in parts.order_by("pk"):
        if part.bank_line is not None and part.bank_line.on <= end:
            bank[part.group.code].append(part.bank_line)
        elif part.book_line is not None and part.book_line.posting_date <= end:
            books[part.group.code].append(part)
    coming: list[Item] = []
    going: list[Item] = []
    later: list[Item] = []
    for code in dict.fromkeys([*bank, *books]):
        shown = total(line.amount for line in bank[code])
        lines = [part.book_line for part in books[code] if part.book_line is not None]
        left = total(line.amount for line in lines) - shown
        if not left:
            continue
        if lines and (left > Money.zero) == (total(line.amount for line in lines) > Money.zero):
            first = lines[0]
            key, label, day = f"entry-{first.entry_id}", first.entry.text, first.posting_date
            (coming if left > Money.zero else going).append(Item(key, label, day, left, (end - day).days))
        else:
            line = bank[code][0]
            later.append(
                Item(f"line-{line.pk}", f"{line.words}, booked later", line.on, -left, (end - line.on).days)
            )
    return coming, going, later


def latest(month: str) -> Reconciliation | None:
    """The reconciliation of a month that counts, with its review."""
    rows = Reconciliation.objects.filter(month=month).select_related(
        "prepared_by", "review__reviewed_by", "review__pdf"
    )
    return rows.order_by("-pk").first()


def still_true(found: Reconciliation) -> bool:
    """Whether the lines, entries and matches still give the figures that were prepared."""
    kept = thawed(found.snapshot)
    errors = {int(item.key.split("-")[1]): item.note for item in kept.bank_errors}
    return same_figures(kept, reckon(found.month, bank_errors=errors).reckoning)


@dataclass(frozen=True, slots=True)
class MonthState:
    """How far a month's bank work is. ``account`` is None while no statement was ever imported."""

    account: BankAccount | None
    reconciliation: Reconciliation | None = None
    true: bool = False

    @property
    def reviewed(self) -> bool:
        return self.reconciliation is not None and hasattr(self.reconciliation, "review")

    @property
    def done(self) -> bool:
        """Reconciled and reviewed, and nothing has changed since."""
        return self.true and self.reviewed


def month_state(month: str) -> MonthState:
    account = BankAccount.objects.filter(ledger_account=BANK).first()
    if account is None or not StatementFile.objects.exists():
        return MonthState(None)
    found = latest(month)
    return MonthState(account, found, found is not None and still_true(found))
