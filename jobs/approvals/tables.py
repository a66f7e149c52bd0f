from collections.abc import Mapping
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fund.commitments.queries_idle import Promised
from fund.tables import A, BookTable, DayColumn, MoneyColumn, NumberColumn


class PromisedTable(BookTable):
    """What is promised to repairs and not yet spent, the longest unused first."""

    empty_words = "Nothing is promised to a repair that is not spent yet."
    region_label = "Promised to repairs"

    cost_object = tables.Column("Repair order", linkify=("repairs:repair", [A("cost_object")]))
    label = tables.Column("Household")
    amount = MoneyColumn(verbose_name="Still promised")
    since = DayColumn(verbose_name="Approved")
    bought = DayColumn(verbose_name="Last bought for")
    until = DayColumn(verbose_name="First purchase by")
    idle_days = NumberColumn(verbose_name="Days not used")
    alone = tables.Column("Before a decision", accessor="cost_object", orderable=False)
    look = tables.Column("Look at it")

    def __init__(
        self, *args: Any, decides: bool = False, takers: Mapping[str, str] | None = None, **kwargs: Any
    ) -> None:
        """``takers``: who took consumables alone, by the number of a repair that waits for its decision."""
        super().__init__(*args, **kwargs)
        self.decides, self.takers = decides, takers or {}

    def render_alone(self, value: str) -> str:
        return f"Consumables, {self.takers[value]}" if value in self.takers else ""

    def value_alone(self, value: str) -> str:
        return self.render_alone(value)

    def render_look(self, record: Promised) -> str | SafeString:
        if not (record.look and self.decides):
            return record.look
        address = reverse("approvals:let-go", args=[record.cost_object])
        renew = reverse("approvals:renew", args=[record.cost_object])
        words = format_html('{}: <a href="{}">let go</a>', record.look, address)
        return format_html('{} or <a href="{}">renew</a>', words, renew) if record.ran_out else words

    def value_look(self, record: Promised) -> str:
        return record.look
