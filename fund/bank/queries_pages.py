"""What the bank's pages ask."""

from dataclasses import dataclass

from django.db.models import (
    Case,
    CharField,
    Count,
    Exists,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from fund.bank.models import (
    MatchGroup,
    MatchPart,
    PlatformBalance,
    Reconciliation,
    StatementFile,
    StatementLine,
)
from fund.bank.queries_open import BookItem, open_items, open_lines, suggestions
from fund.bank.rules import DELETE, OPENING
from fund.bank.rules_matching import Side, Suggestion, in_window
from fund.gifts.queries import clearing
from fund.ledger.queries import balances
from fund.ledger.rules import last_day
from fund.money import Money, total

MOST_SHOWN = 50


def files() -> QuerySet[StatementFile]:
    own = StatementLine.objects.filter(file=OuterRef("pk")).exclude(ref__startswith=OPENING).order_by()
    counted = Subquery(
        own.values("file").annotate(many=Count("pk")).values("many"), output_field=IntegerField()
    )
    return StatementFile.objects.defer("data").select_related("by").annotate(new_lines=Coalesce(counted, 0))


def lines_with_state() -> QuerySet[StatementLine]:
    """All lines of the bank, latest first, each with its ``state``."""
    matched = MatchPart.objects.filter(bank_line=OuterRef("pk"), group__undone=None)
    state = Case(
        When(Q(corrected_by__isnull=False) | Q(correction=DELETE), then=Value("corrected")),
        When(Exists(matched) | Q(amount=0), then=Value("matched")),
        default=Value("open"),
        output_field=CharField(),
    )
    return StatementLine.objects.annotate(state=state).order_by("-on", "-pk")


@dataclass(frozen=True, slots=True)
class Proposal:
    """A suggestion with what it speaks of."""

    suggestion: Suggestion
    lines: list[StatementLine]
    items: list[BookItem]

    @property
    def amount(self) -> Money:
        return total(line.amount for line in self.lines)

    @property
    def name(self) -> str:
        """What its button is called by those who do not see the page."""
        first = self.lines[0] if self.lines else None
        return (
            f"{first.on}, {first.words}" if first else f"entry {self.items[0].number}, {self.items[0].text}"
        )

    @property
    def value(self) -> str:
        """The suggestion as a form sends it back."""
        return f"{','.join(map(str, self.suggestion.bank))}:{','.join(map(str, self.suggestion.books))}"


@dataclass(frozen=True, slots=True)
class MatchWork:
    """What is open between bank and books, and what is proposed."""

    proposals: list[Proposal]
    alone: list[StatementLine]
    books: list[BookItem]
    sure: int
    open_lines: int

    @property
    def shown(self) -> list[Proposal]:
        return self.proposals[:MOST_SHOWN]


def match_work() -> MatchWork:
    lines = {line.pk: line for line in open_lines()}
    items = {item.number: item for item in open_items()}
    found = [
        Proposal(one, [lines[key] for key in one.bank], [items[number] for number in one.books])
        for one in suggestions()
    ]
    used = {key for one in found for key in one.suggestion.bank}
    booked = {number for one in found for number in one.suggestion.books}
    return MatchWork(
        proposals=found,
        alone=[line for key, line in lines.items() if key not in used][:MOST_SHOWN],
        books=[item for number, item in items.items() if number not in booked][:MOST_SHOWN],
        sure=sum(one.suggestion.sure for one in found),
        open_lines=len(lines),
    )


def find_suggestion(value: str) -> Suggestion | None:
    """The suggestion that a form sent back, if it still stands."""
    return next((one.suggestion for one in match_work().proposals if one.value == value), None)


def candidates(line: StatementLine) -> list[BookItem]:
    """Open entries a line might be, nearest amounts first: those of its days, and any of its amount."""
    side = Side(line.pk, line.on, line.amount)
    fit = [
        item
        for item in open_items()
        if item.amount == line.amount or in_window(side, Side(item.number, item.on, item.amount))
    ]
    return sorted(
        fit, key=lambda item: (abs((item.amount - line.amount).minor), abs((item.on - line.on).days))
    )[:40]


def group_of(line: StatementLine) -> MatchGroup | None:
    return MatchGroup.objects.filter(parts__bank_line=line, undone=None).select_related("by").first()


@dataclass(frozen=True, slots=True)
class GroupParts:
    lines: list[StatementLine]
    entries: list[tuple[int, str, Money]]


def parts_of(group: MatchGroup) -> GroupParts:
    """Both sides of a match; the books by entry."""
    parts = list(group.parts.select_related("bank_line", "book_line__entry").order_by("pk"))
    sums: dict[int, tuple[str, Money]] = {}
    for part in parts:
        if part.book_line is not None:
            text, amount = sums.get(part.book_line.entry_id, (part.book_line.entry.text, Money.zero))
            sums[part.book_line.entry_id] = (text, amount + part.book_line.amount)
    return GroupParts(
        [part.bank_line for part in parts if part.bank_line is not None],
        [(number, text, amount) for number, (text, amount) in sums.items()],
    )


def reconciliations() -> QuerySet[Reconciliation]:
    """The reconciliation that counts of each month, latest month first."""
    newest = Reconciliation.objects.filter(month=OuterRef("month")).order_by("-pk").values("pk")[:1]
    rows = Reconciliation.objects.filter(pk=Subquery(newest)).select_related(
        "prepared_by", "review__reviewed_by"
    )
    return rows.order_by("-month")


@dataclass(frozen=True, slots=True)
class PlatformRow:
    """A platform at a month's end: by the books, by itself."""

    code: str
    name: str
    books: Money
    says: Money | None
    origin: str = ""

    @property
    def apart(self) -> Money | None:
        return None if self.says is None else self.says - self.books


def platform_rows(month: str) -> list[PlatformRow]:
    told = {row.platform_id: row for row in PlatformBalance.objects.filter(month=month).order_by("pk")}
    rows = []
    for one in clearing(balances(last_day(month))):
        said = told.get(one.platform.code)
        rows.append(
            PlatformRow(
                one.platform.code,
                one.platform.name,
                one.balance,
                said.amount if said else None,
                said.origin if said else "",
            )
        )
    return rows
