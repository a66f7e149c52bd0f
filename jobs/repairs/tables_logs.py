import django_filters
import django_tables2 as tables

from fund.filters import BookFilterSet, DayFilter, WordsFilter, YesNoFilter
from fund.tables import A, BookTable, DayColumn
from jobs.repairs.rules_logs import DIRECTIONS, WASTE


class ConverterTable(BookTable):
    empty_words = "No converter came off yet."
    region_label = "Catalytic converters"

    on = DayColumn(verbose_name="Taken off")
    repair = tables.Column("Repair order", accessor="repair__number", linkify=("logs:converter", [A("pk")]))
    marking = tables.Column("Number on it")
    vin = tables.Column("VIN", orderable=False)
    by = tables.Column("Logged by", accessor="by__label", orderable=False)
    second = tables.Column("And by", accessor="second__label", orderable=False)
    went = tables.Column("Went", accessor="end__get_went_display", orderable=False, default="in the shop")
    where = tables.Column("To", accessor="end__where", orderable=False)
    left = DayColumn(verbose_name="On", accessor="end__on")
    paper = tables.Column("Paper", accessor="end__paper", orderable=False)


class ConverterFilter(BookFilterSet):
    words = WordsFilter(columns=["repair__number", "marking", "end__where", "end__paper"])
    here = YesNoFilter(field_name="end", lookup_expr="isnull", label="Still in the shop")


class WasteTable(BookTable):
    empty_words = "Nothing is in the waste log yet."
    region_label = "Waste"

    on = DayColumn(verbose_name="Day")
    direction = tables.Column("What happened", accessor="get_direction_display", order_by=("direction",))
    kind = tables.Column("Of what")
    count = tables.Column("How much", order_by=("quantity",))
    repair = tables.Column("Repair order", accessor="repair__number")
    where = tables.Column("Taken to")
    paper = tables.Column("Paper", orderable=False)
    by = tables.Column("By", accessor="by__label", orderable=False)
    words = tables.Column("Note", orderable=False)


class WasteFilter(BookFilterSet):
    words = WordsFilter(columns=["repair__number", "where", "paper", "words"])
    kind = django_filters.ChoiceFilter(
        label="Of what", choices=[(kind, kind.capitalize()) for kind in WASTE], empty_label="Anything"
    )
    direction = django_filters.ChoiceFilter(
        label="What happened", choices=list(DIRECTIONS.items()), empty_label="Both"
    )
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="Until")
