import django_tables2 as tables

from fund.tables import A, BookTable, DayColumn, MoneyColumn
from jobs.eligibility.queries_file import ELEMENTS, AidFile


class AidFileTable(BookTable):
    """The file on each repair given. The page shows what is missing."""

    region_label = "Help given"
    empty_words = "No repair was handed back yet."
    number = tables.Column(verbose_name="Repair", linkify=("eligibility:file", [A("number")]))
    handed_back_on = DayColumn(verbose_name="Handed back")
    alias = tables.Column(verbose_name="Household")
    amount = MoneyColumn(verbose_name="Amount")
    missing = tables.Column(verbose_name="Missing", orderable=False, empty_values=())

    def render_missing(self, record: AidFile) -> str:
        return "; ".join(record.missing) or "nothing"

    value_missing = render_missing


class AidExportTable(AidFileTable):
    """The same rows for the download, with all eight elements in words."""


for _name, _words in ELEMENTS.items():
    AidExportTable.base_columns[_name] = tables.Column(verbose_name=_words.capitalize(), orderable=False)


class RelatedTable(BookTable):
    """Repairs given to households that someone in the chain is tied to, for the accountant."""

    region_label = "Related parties"
    empty_words = "Nobody in the chain of any repair has named a tie."
    number = tables.Column(verbose_name="Repair")
    alias = tables.Column(verbose_name="Household")
    amount = MoneyColumn(verbose_name="Amount")
    person = tables.Column()
    part = tables.Column(verbose_name="What they did")
    words = tables.Column(verbose_name="The tie", orderable=False)
