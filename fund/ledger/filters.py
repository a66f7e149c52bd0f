from datetime import date

import django_filters
from django.http import QueryDict

from fund.filters import BookFilterSet, DayFilter, MoneyFilter, MonthFilter, WordsFilter
from fund.ledger.models import Account, Entry, Purpose


class EntryFilter(BookFilterSet):
    words = WordsFilter(columns=["text", "source", "kind"])
    month = MonthFilter(field_name="month", label="Month posted")
    size = MoneyFilter(field_name="size", label="Amount")
    later_change = django_filters.ChoiceFilter(
        label="Which", choices=[("True", "Only later changes")], empty_label="All entries"
    )


class LineFilter(BookFilterSet):
    words = WordsFilter(columns=["entry__text", "text", "party", "cost_object__code"])
    account = django_filters.ModelChoiceFilter(
        label="Account", queryset=Account.objects.all(), empty_label="Any"
    )
    purpose = django_filters.ModelChoiceFilter(
        label="Purpose", queryset=Purpose.objects.all(), empty_label="Any"
    )
    month = MonthFilter(field_name="month", label="Month posted")


class StatementFilter(BookFilterSet):
    """Days for pages that ask their own query with them; it filters nothing itself."""

    def __init__(self, data: QueryDict) -> None:
        super().__init__(data, queryset=Entry.objects.none())

    def day(self, name: str) -> date | None:
        """The day typed in a box; None where nothing, or nothing readable, was typed."""
        return self.form.cleaned_data.get(name) if self.is_bound and self.form.is_valid() else None


class SpanFilter(StatementFilter):
    since = DayFilter(label="From")
    until = DayFilter(label="Until")


class UntilFilter(StatementFilter):
    until = DayFilter(label="At the end of")
