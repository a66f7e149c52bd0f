import django_filters
import django_tables2 as tables

from fund.access.models import Person
from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.tables import BookTable, MomentColumn


class TrailTable(BookTable):
    region_label = "Trail"

    at = MomentColumn(verbose_name="When", order_by=("id",))
    by = tables.Column("Who", default="the program", order_by=("by__first_name", "by__last_name"))
    text = tables.Column("What", orderable=False)
    subject = tables.Column("Of")
    action = tables.Column("Act")


class TrailFilter(BookFilterSet):
    words = WordsFilter(columns=["text", "subject", "action"])
    by = django_filters.ModelChoiceFilter(
        label="Who", queryset=Person.objects.order_by("first_name"), empty_label="Anyone"
    )
    since = DayFilter(field_name="at", lookup_expr="date__gte", label="From")
    until = DayFilter(field_name="at", lookup_expr="date__lte", label="Until")
