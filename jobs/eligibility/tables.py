import django_tables2 as tables

from fund.money import Money
from fund.tables import BookTable, DayColumn, MoneyColumn, NumberColumn
from jobs.eligibility.models import GuidelineTable
from jobs.eligibility.rules import SIZES


class YearlyColumn(MoneyColumn):
    """Whole dollars for the eye, as the notices print them."""

    def render(self, value: Money) -> str:
        return super().render(value).removesuffix(".00")


class GuidelineListTable(BookTable):
    """The published income tables, dollars a year."""

    region_label = "Income tables"
    empty_words = "No income table is loaded yet. They are loaded when the book is prepared."
    year = NumberColumn()
    area = tables.Column()
    in_use_from = DayColumn(verbose_name="In use from")
    each_more = YearlyColumn(verbose_name="Each more")
    source = tables.Column()

    class Meta(BookTable.Meta):
        model = GuidelineTable
        fields = [
            "year",
            "area",
            "in_use_from",
            *(f"size_{n}" for n in range(1, SIZES + 1)),
            "each_more",
            "source",
        ]
        sequence = fields

    def render_source(self, value: str) -> str:
        return value.split("Guidelines, ")[-1]

    def value_source(self, value: str) -> str:
        return value


for _size in range(1, SIZES + 1):
    GuidelineListTable.base_columns[f"size_{_size}"] = YearlyColumn(verbose_name=str(_size))
