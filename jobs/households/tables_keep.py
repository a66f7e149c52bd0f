import django_tables2 as tables

from fund.tables import A, BookTable, DayColumn
from jobs.households.models_keep import Destruction


class DestructionTable(BookTable):
    """What was destroyed, of whom, when and by which rule. No value that is gone."""

    region_label = "Destruction log"
    empty_words = "Nothing was destroyed yet. The command forget_households does what is due."
    on = DayColumn(verbose_name="Destroyed on")
    household = tables.Column(accessor="household__alias", verbose_name="Household")
    code = tables.Column(
        accessor="household__code",
        verbose_name="Record",
        linkify=("households:household", [A("household__code")]),
    )
    kept_class = tables.Column(verbose_name="What")
    due_on = DayColumn(verbose_name="Was due on")
    rule = tables.Column()
    counts = tables.Column(verbose_name="How many", orderable=False)
    by = tables.Column(accessor="by__label", verbose_name="By", orderable=False, default="the command")

    def render_counts(self, record: Destruction) -> str:
        return ", ".join(f"{count} {words}" for words, count in record.counts.items() if count) or "none left"

    value_counts = render_counts
