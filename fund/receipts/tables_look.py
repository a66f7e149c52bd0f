from typing import Any

import django_filters
import django_tables2 as tables

from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.receipts.models_look import LookAnswer
from fund.receipts.rules_look_rows import KINDS, Look
from fund.tables import A, BookTable, DayColumn, MomentColumn, MoneyColumn


class KindColumn(tables.Column):
    """Two or three words that stay on one line."""

    css = "keep"


class ProseColumn(tables.Column):
    """Sentences: on a phone they take the whole width."""

    css = "prose"


class LookTable(BookTable):
    region_label = "Worth a second look"
    empty_words = "No receipt is worth a second look now. What was answered before stays under Answered."

    what = KindColumn("What", linkify=("receipts:look", [A("key")]), order_by=("kind", "on"))
    on = DayColumn(verbose_name="Day")
    names = tables.Column("Concerns")
    text = ProseColumn("Why", orderable=False)
    amount = MoneyColumn(verbose_name="Amount")


class LookFilter(BookFilterSet):
    """Searches what the rules found, which is no table of the database: a list of :class:`Look`."""

    words = WordsFilter([], label="Words, name or code")
    kind = django_filters.ChoiceFilter(label="What", choices=list(KINDS.items()), empty_label="any")
    since = DayFilter(label="From")
    until = DayFilter(label="Until")

    class Meta(BookFilterSet.Meta):
        model = LookAnswer
        fields: list[str] = []

    def __init__(self, data: Any = None, queryset: Any = None, **kwargs: Any) -> None:
        super().__init__(data, LookAnswer.objects.none(), **kwargs)
        self.looks: list[Look] = list(queryset or [])

    @property
    def qs(self) -> Any:
        if not self.is_bound:
            return self.looks
        if not self.form.is_valid():
            return []
        told = self.form.cleaned_data
        words, since, until = told["words"].lower().split()[:8], told["since"], told["until"]
        return [
            look
            for look in self.looks
            if (not told["kind"] or look.kind == told["kind"])
            and (since is None or look.on >= since)
            and (until is None or look.on <= until)
            and all(
                word in f"{look.what} {look.text} {look.names} {' '.join(look.codes)}".lower()
                for word in words
            )
        ]


class LookAnswerTable(BookTable):
    region_label = "Answered"
    empty_words = "Nothing has been answered yet."

    kind = KindColumn("What", linkify=("receipts:look", [A("key")]))
    on = DayColumn(verbose_name="Day")
    names = tables.Column("Concerns")
    text = ProseColumn("What was asked", orderable=False)
    words = ProseColumn("What was found", orderable=False)
    by = tables.Column("By", accessor="by__label", order_by=("by__first_name", "by__last_name"))
    at = MomentColumn(verbose_name="When")
    amount = MoneyColumn(verbose_name="Amount")


class LookAnswerFilter(BookFilterSet):
    words = WordsFilter(["text", "names", "codes", "words"], label="Words, name or code")
    kind = django_filters.ChoiceFilter(label="What", choices=list(KINDS.items()), empty_label="any")
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="Until")

    class Meta(BookFilterSet.Meta):
        model = LookAnswer
        fields: list[str] = []
