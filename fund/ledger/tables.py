from collections.abc import Iterable, Iterator
from typing import Any

import django_tables2 as tables
from django.db.models import QuerySet, Sum
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django_tables2.data import TableData

from fund.ledger.models import Entry, Line
from fund.money import Money, total
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn
from fund.templatetags.money import credit, debit, money


def column_total(name: str) -> Any:
    """The sum of an amount column over all rows of a short list, for its foot."""

    def footer(table: BookTable) -> str:
        return money(total(value for row in table.data if (value := getattr(row, name)) is not None))

    return footer


class EntryTable(BookTable):
    region_label = "Entries"

    number = CodeColumn(verbose_name="Entry", linkify=("ledger:entry", [A("number")]))
    posting_date = DayColumn(verbose_name="Posted", order_by=("posting_date", "number"))
    document_date = DayColumn(verbose_name="Document")
    text = tables.Column("What", orderable=False)
    kind = tables.Column("Kind")
    source = tables.Column("From", orderable=False)
    size = MoneyColumn(verbose_name="Debits = credits")

    def render_text(self, value: str, record: Entry) -> str | SafeString:
        if not record.later_change:
            return value
        return format_html('{} <span class="tag">later change</span>', value)

    def value_text(self, value: str, record: Entry) -> str:
        return f"{value} (later change)" if record.later_change else value


class DebitColumn(MoneyColumn):
    """The amount of a line if it is a debit."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(accessor="amount", **kwargs)

    def render(self, value: Money) -> str:
        return debit(value)

    def value(self, value: Money) -> Money | None:
        return value if value > Money.zero else None


class CreditColumn(DebitColumn):
    """The amount of a line, without its sign, if it is a credit."""

    def render(self, value: Money) -> str:
        return credit(value)

    def value(self, value: Money) -> Money | None:
        return -value if value < Money.zero else None


class LineTable(BookTable):
    region_label = "Lines"

    entry = CodeColumn(verbose_name="Entry", accessor="entry_id", linkify=("ledger:entry", [A("entry_id")]))
    posting_date = DayColumn(verbose_name="Posted", order_by=("posting_date", "entry_id", "ordinal"))
    account = tables.Column(
        "Account", linkify=("ledger:account", [A("account_id")]), order_by=("account_id",)
    )
    text = tables.Column("What", accessor="entry__text", orderable=False)
    purpose = tables.Column("Purpose", order_by=("purpose_id",))
    cost_object = tables.Column("Repair", accessor="cost_object_id")
    party = tables.Column("Party")
    debit = DebitColumn(verbose_name="Debit", order_by=("-amount",))
    credit = CreditColumn(verbose_name="Credit", order_by=("amount",))

    def render_text(self, value: str, record: Line) -> str:
        return f"{value}: {record.text}" if record.text and record.text != value else value


class RunningLines(TableData):
    """An account's lines, latest first, each given ``held``: the balance after it.

    A page costs its own rows and one sum over the newer ones, so that a long account opens as fast as a short one.
    """

    def __init__(self, lines: QuerySet[Line], closing: Money) -> None:
        super().__init__(None)
        self.lines, self.closing = lines, closing

    def __len__(self) -> int:
        if not hasattr(self, "_length"):
            self._length = self.lines.count()
        return self._length

    def __getitem__(self, key: slice) -> list[Line]:
        newer = self.lines[: key.start or 0].aggregate(sum=Sum("amount"))["sum"] if key.start else None
        return list(self._run(self.lines[key], self.closing - (newer or Money.zero)))

    def __iter__(self) -> Iterator[Line]:
        return self._run(self.lines.iterator(chunk_size=2000), self.closing)

    def _run(self, lines: Iterable[Line], held: Money) -> Iterator[Line]:
        for line in lines:
            line.held = held  # type: ignore[attr-defined]
            held = held - line.amount
            yield line

    def order_by(self, aliases: object) -> None:
        """Time is the only order in which the balances mean something."""


class AccountLineTable(LineTable):
    """An account's own pages: in order of time, so that the balance after each line means something."""

    account = None
    held = MoneyColumn(verbose_name="Balance after")

    class Meta:
        orderable = False
        sequence = ("...", "debit", "credit", "held")


class AccountTable(BookTable):
    region_label = "Accounts"
    sortable_here = False

    code = tables.Column("Account", linkify=("ledger:account", [A("code")]))
    name = tables.Column("Name")
    kind = tables.Column("Kind")
    debit = MoneyColumn(verbose_name="Debit", footer=column_total("debit"))
    credit = MoneyColumn(verbose_name="Credit", footer=column_total("credit"))

    class Meta:
        orderable = False


class PurposeTable(BookTable):
    region_label = "Purposes"
    sortable_here = False

    name = tables.Column("Purpose", linkify=("ledger:purpose", [A("code")]), footer="All money")
    restricted = tables.Column("Named by")
    opening = MoneyColumn(verbose_name="Opening", footer=column_total("opening"))
    received = MoneyColumn(verbose_name="Given", footer=column_total("received"))
    spent = MoneyColumn(verbose_name="Spent", footer=column_total("spent"))
    moved = MoneyColumn(verbose_name="Moved", footer=column_total("moved"))
    closing = MoneyColumn(verbose_name="Closing", footer=column_total("closing"))

    class Meta:
        orderable = False

    def render_restricted(self, value: bool) -> str:
        return "the giver" if value else "nobody: free"
