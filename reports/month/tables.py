import django_tables2 as tables

from fund.tables import A, BookTable, MomentColumn
from reports.charts.rules import month_name


class MonthTable(BookTable):
    region_label = "Months"

    key = tables.Column("Month", linkify=("month:month", [A("key")]))
    state = tables.Column("State")
    closed_at = MomentColumn(verbose_name="Closed")
    closed_by = tables.Column("Closed by")
    published_at = MomentColumn(verbose_name="Published")

    class Meta(BookTable.Meta):
        empty_text = "There is no posting in the books yet, so there is no month."

    def render_key(self, value: str) -> str:
        return month_name(value)

    def value_key(self, value: str) -> str:
        return value
