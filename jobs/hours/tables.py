import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.tables import A, BookTable, CodeColumn, DayColumn, HoursColumn, MoneyColumn
from jobs.hours.forms import crew_with_hours
from jobs.hours.models import HoursEntry, Rate, Skill
from jobs.hours.queries import unconfirmed


class HoursTable(BookTable):
    region_label = "Donated hours"

    code = CodeColumn(verbose_name="Row", linkify=("hours:row", [A("code")]))
    on = DayColumn(verbose_name="Day", order_by=("on", "pk"))
    person = tables.Column(
        "Person", accessor="person__label", order_by=("person__first_name", "person__last_name")
    )
    repair = tables.Column(
        "Repair",
        accessor="repair__number",
        order_by=("repair__number",),
        linkify=lambda record: f"/crew/repairs/{record.repair.number}/" if record.repair else None,
    )
    skill = tables.Column("Done as", accessor="skill__name", order_by=("skill__name",))
    tenths = HoursColumn(verbose_name="Hours")
    value = MoneyColumn(verbose_name="Worth, not cash", zero=False)
    said = tables.Column("Entered", empty_values=(), orderable=False)
    note = tables.Column("Note", orderable=False)

    class Meta(BookTable.Meta):
        empty_text = "No hours have been entered yet."

    def render_said(self, record: HoursEntry) -> str | SafeString:
        if record.taken_back or record.confirmed:
            return entered_words(record)
        return format_html('{} <span class="tag">not confirmed</span>', entered_words(record))

    def value_said(self, record: HoursEntry) -> str:
        open_ = not (record.taken_back or record.confirmed)
        return f"{entered_words(record)}, not confirmed" if open_ else entered_words(record)


def entered_words(row: HoursEntry) -> str:
    """Who entered hours for whom, or that they were taken back."""
    if row.reverses:
        return f"takes back {row.reverses.code}"
    if row.taken_back:
        return f"taken back by {row.reversed_by.code}"
    if row.entered_by_id == row.person_id:
        return "by the person"
    return f"by {row.entered_by.label} for {row.person.label}"


class HoursFilter(BookFilterSet):
    words = WordsFilter(
        ["code", "note", "repair__number", "repair__alias", "person__first_name", "person__last_name"]
    )
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="Until")
    person = django_filters.ModelChoiceFilter(
        label="Person",
        queryset=lambda request: crew_with_hours(),
        to_field_name="username",
        empty_label="Anyone",
    )
    skill = django_filters.ModelChoiceFilter(
        label="Done as", queryset=Skill.objects.all(), empty_label="Anything"
    )
    waiting = django_filters.BooleanFilter(
        label="Only not confirmed yet", method="only_waiting", widget=forms.CheckboxInput
    )

    class Meta(BookFilterSet.Meta):
        model = HoursEntry
        fields: list[str] = []

    def only_waiting(self, rows: QuerySet[HoursEntry], name: str, value: bool) -> QuerySet[HoursEntry]:
        return unconfirmed(rows) if value else rows


class RateTable(BookTable):
    region_label = "Rates"

    skill = tables.Column("Skill", accessor="skill__name", orderable=False)
    valid_from = DayColumn(verbose_name="Valid from", orderable=False)
    amount = MoneyColumn(verbose_name="Amount an hour", orderable=False)
    basis = tables.Column("What it is", orderable=False)
    source = tables.Column("Where it is from", orderable=False)

    class Meta(BookTable.Meta):
        model = Rate
        fields: tuple[str, ...] = ()
        empty_text = "No rate has been set yet."


class PayTable(BookTable):
    region_label = "Paid work"
    empty_words = "Nobody of the crew has asked to be paid."

    on = DayColumn(verbose_name="Decided", orderable=False)
    person = tables.Column("Person", accessor="person__label", orderable=False)
    answer = tables.Column("Answer", orderable=False)
    from_on = DayColumn(verbose_name="From", orderable=False)
    by = tables.Column("By", accessor="by__label", orderable=False)
    conflict = tables.Column("How the conflict is kept out", orderable=False)
    tax_form_on = DayColumn(verbose_name="Tax form", orderable=False)
    reason = tables.Column("Why", orderable=False)
