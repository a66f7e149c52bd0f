import django_tables2 as tables

from fund.filters import BookFilterSet, WordsFilter
from fund.tables import A, BookTable, DayColumn, NumberColumn


class UnfetchedTable(BookTable):
    empty_words = "Every vehicle that is done was fetched in time."
    region_label = "Vehicles nobody fetches"

    number = tables.Column("Repair order", linkify=("checkin:notices", [A("number")]))
    alias = tables.Column("Household")
    vehicle_class = tables.Column("Vehicle")
    tested_on = DayColumn(verbose_name="Could be fetched since")
    notices = NumberColumn(verbose_name="Told")
    last_notice = DayColumn(verbose_name="Last told")


class UnfetchedFilter(BookFilterSet):
    words = WordsFilter(columns=["number", "alias", "vehicle_class"])
