import django_filters
import django_tables2 as tables

from fund.access.models import Person
from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.tables import A, BookTable, DayColumn, HoursColumn, MoneyColumn
from jobs.repairs.models import STATES


class RepairTable(BookTable):
    empty_words = "No vehicle has been checked in yet."
    region_label = "Repair orders"

    number = tables.Column("Repair order", linkify=("repairs:repair", [A("number")]))
    alias = tables.Column("Household")
    vehicle_class = tables.Column("Vehicle")
    job_type = tables.Column("Job")
    state = tables.Column("Stands at")
    mechanic = tables.Column("Work by", order_by=("mechanic__first_name", "mechanic__last_name"))
    opened_on = DayColumn(verbose_name="Opened")
    handed_back_on = DayColumn(verbose_name="Handed back")
    book_hours = HoursColumn(verbose_name="Book h")
    estimate = MoneyColumn(verbose_name="Estimate", accessor="estimate", order_by=("estimate",), zero=False)
    cost = MoneyColumn(
        verbose_name="Cost so far",
        accessor="cost",
        order_by=("cost",),
        linkify=("cost:repair", [A("number")]),
    )


class RepairFilter(BookFilterSet):
    words = WordsFilter(columns=["number", "alias", "vehicle_class", "job_type", "complaint", "cause"])
    state = django_filters.ChoiceFilter(label="Stands at", choices=STATES, empty_label="Any")
    mechanic = django_filters.ModelChoiceFilter(
        label="Work by", queryset=Person.objects.order_by("first_name"), empty_label="Anyone"
    )
    since = DayFilter(field_name="opened_on", lookup_expr="gte", label="Opened from")
    until = DayFilter(field_name="opened_on", lookup_expr="lte", label="Opened until")
