import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet

from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.tables import A, BookTable, DayColumn
from jobs.handback.actions_handback import OUTCOMES
from jobs.handback.models_proof import Comeback, Reminder


class ReminderTable(BookTable):
    region_label = "Reminders"
    empty_words = "Nothing is left to do after the hand-backs."

    due = DayColumn(verbose_name="Due", order_by=("due", "pk"))
    text = tables.Column("What", linkify=("handback:reminder", [A("pk")]))
    repair = tables.Column(
        "Repair",
        accessor="repair__number",
        order_by=("repair__number",),
        linkify=("repairs:repair", [A("repair__number")]),
    )
    alias = tables.Column("Household", accessor="repair__alias", order_by=("repair__alias",))
    done_on = DayColumn(verbose_name="Done")
    outcome = tables.Column("How it went", orderable=False)

    def render_outcome(self, record: Reminder) -> str:
        return ": ".join(filter(None, [OUTCOMES.get(record.outcome, ""), record.note]))

    def value_outcome(self, record: Reminder) -> str:
        return self.render_outcome(record)


class ReminderFilter(BookFilterSet):
    """Shows what is not done yet, unless asked for all."""

    words = WordsFilter(["text", "repair__number", "repair__alias"])
    until = DayFilter(field_name="due", lookup_expr="lte", label="Due until")
    all = django_filters.BooleanFilter(label="Done ones too", method="as_it_is", widget=forms.CheckboxInput)

    def as_it_is(self, rows: QuerySet[Reminder], name: str, value: bool) -> QuerySet[Reminder]:
        return rows

    @property
    def qs(self) -> QuerySet[Reminder]:
        rows: QuerySet[Reminder] = super().qs
        return rows if self.data.get("all") else rows.filter(done_on=None)


class ComebackTable(BookTable):
    region_label = "Comebacks"
    empty_words = "No repair has come back."

    told_on = DayColumn(verbose_name="Came back", order_by=("told_on", "pk"))
    repair = tables.Column(
        "Repair order", accessor="repair__number", order_by=("repair__number",),
        linkify=("handback:one-comeback", [A("repair__number")]),
    )  # fmt: skip
    original = tables.Column(
        "First repair", accessor="original__number", order_by=("original__number",),
        linkify=("repairs:repair", [A("original__number")]),
    )  # fmt: skip
    alias = tables.Column("Household", accessor="repair__alias", order_by=("repair__alias",))
    days = tables.Column("Days after", empty_values=(), orderable=False, attrs={"td": {"class": "number"}})
    kind = tables.Column("Complaint", accessor="same", orderable=False)
    fault = tables.Column("Fault", empty_values=(), orderable=False)

    def render_days(self, record: Comeback) -> int:
        back = record.original.handed_back_on
        return (record.told_on - back).days if back else 0

    def value_days(self, record: Comeback) -> int:
        return self.render_days(record)

    def render_kind(self, record: Comeback) -> str:
        return "the same" if record.same else "follows from the work"

    def value_kind(self, record: Comeback) -> str:
        return self.render_kind(record)

    def render_fault(self, record: Comeback) -> str:
        return record.get_fault_display() or "not decided"

    def value_fault(self, record: Comeback) -> str:
        return self.render_fault(record)


class ComebackFilter(BookFilterSet):
    words = WordsFilter(["repair__number", "original__number", "repair__alias", "repair__job_type"])
    since = DayFilter(field_name="told_on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="told_on", lookup_expr="lte", label="Until")
    fault = django_filters.ChoiceFilter(
        label="Fault", choices=[("ours", "The crew's"), ("other", "Not the crew's")], empty_label="Any"
    )
