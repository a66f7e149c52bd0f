import django_tables2 as tables

from fund.filters import BookFilterSet, WordsFilter, YesNoFilter
from fund.tables import A, BookTable, HoursColumn, NumberColumn


class JobTypeTable(BookTable):
    empty_words = "No typical job is on the list yet."
    region_label = "Typical jobs"

    name = tables.Column("Job", linkify=("jobtypes:one", [A("code")]))
    book_from = HoursColumn(verbose_name="Book h from")
    book_to = HoursColumn(verbose_name="to")
    complaint = tables.Column("Usual complaint", orderable=False)
    used = NumberColumn(verbose_name="Repair orders")
    active = tables.BooleanColumn(verbose_name="To choose from", yesno="yes,no")
    source = tables.Column("From")


class JobTypeFilter(BookFilterSet):
    words = WordsFilter(columns=["name", "complaint", "cause", "source"])
    active = YesNoFilter(label="To choose from")
