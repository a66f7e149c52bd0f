import django_filters
import django_tables2 as tables

from fund.bank.actions_upload import PreviewRow
from fund.bank.models import Reconciliation, StatementFile, StatementLayout, StatementLine
from fund.filters import BookFilterSet, DayFilter, MoneyFilter, WordsFilter
from fund.tables import A, BookTable, DayColumn, MomentColumn, MoneyColumn, NumberColumn

STATES = {
    "open": "not matched",
    "matched": "matched",
    "corrected": "put right by the bank",
    "opening": "opening",
}


class StatementFileTable(BookTable):
    region_label = "Statements"
    empty_words = "No bank statement is here yet. Download one from the bank as OFX, camt.053 or CSV."

    name = tables.Column(verbose_name="File", linkify=("bank:statement", [A("pk")]))
    format = tables.Column(verbose_name="Format")
    starts = DayColumn(verbose_name="First line")
    ends = DayColumn(verbose_name="Until")
    opening = MoneyColumn(verbose_name="Opening")
    closing = MoneyColumn(verbose_name="Closing")
    rows_in_file = NumberColumn(verbose_name="Lines in it")
    new_lines = NumberColumn(verbose_name="New with it")
    by = tables.Column(verbose_name="Brought in by", order_by="by__last_name")
    at = MomentColumn(verbose_name="When")


class StatementFileFilter(BookFilterSet):
    words = WordsFilter(["name", "format"], label="File or format")
    since = DayFilter(field_name="ends", lookup_expr="gte", label="From")
    until = DayFilter(field_name="starts", lookup_expr="lte", label="Until")

    class Meta(BookFilterSet.Meta):
        model = StatementFile
        fields: list[str] = []


class StatementLineTable(BookTable):
    region_label = "Lines of the bank"
    empty_words = "No line of the bank is here yet."

    on = DayColumn(verbose_name="Day", linkify=("bank:statement-line", [A("pk")]))
    words = tables.Column(verbose_name="What the bank wrote", orderable=False)
    ref = tables.Column(verbose_name="Bank's reference")
    state = tables.Column(verbose_name="State")
    amount = MoneyColumn(verbose_name="Amount")

    def render_state(self, value: str) -> str:
        return STATES.get(value, value)

    value_state = render_state


class StatementLineFilter(BookFilterSet):
    words = WordsFilter(["name", "text", "ref", "check_number"], label="Words or reference")
    since = DayFilter(field_name="on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="on", lookup_expr="lte", label="Until")
    amount = MoneyFilter(field_name="amount", label="Amount")
    state = django_filters.ChoiceFilter(label="State", choices=list(STATES.items()), empty_label="any")

    class Meta(BookFilterSet.Meta):
        model = StatementLine
        fields: list[str] = []


class PreviewTable(BookTable):
    region_label = "Lines of the file"
    empty_words = "The file holds no line, only a balance."

    on = DayColumn(verbose_name="Day", accessor="row__on")
    words = tables.Column(verbose_name="What the bank wrote", accessor="row", orderable=False)
    ref = tables.Column(verbose_name="Bank's reference", accessor="row__ref")
    is_new = tables.Column(verbose_name="Here")
    amount = MoneyColumn(verbose_name="Amount", accessor="row__amount")

    def render_words(self, record: PreviewRow) -> str:
        check = f"Check {record.row.check_number}" if record.row.check_number else ""
        return " · ".join(filter(None, (record.row.name, record.row.text, check)))

    value_words = render_words

    def render_is_new(self, record: PreviewRow) -> str:
        if record.row.correction:
            return f"{record.row.correction}s {record.row.corrects}"
        return "new" if record.is_new else "here already"

    value_is_new = render_is_new


class ReconciliationTable(BookTable):
    region_label = "Reconciliations"
    empty_words = "No month was reconciled yet."

    month = tables.Column(verbose_name="Month", linkify=("bank:reconciliation", [A("month")]))
    statement_balance = MoneyColumn(verbose_name="Statement")
    book_balance = MoneyColumn(verbose_name="Books")
    prepared_by = tables.Column(verbose_name="Prepared by", order_by="prepared_by__last_name")
    prepared_at = MomentColumn(verbose_name="Prepared")
    review = tables.Column(verbose_name="Reviewed by", orderable=False, empty_values=())

    def render_review(self, record: Reconciliation) -> str:
        return str(record.review.reviewed_by) if hasattr(record, "review") else "not reviewed"

    value_review = render_review


class LayoutTable(BookTable):
    region_label = "Layouts"
    empty_words = "No layout is saved yet. Only a CSV needs one; OFX and camt.053 are read as they are."

    name = tables.Column(verbose_name="Layout", linkify=("bank:layout", [A("name")]))
    signs = tables.Column(verbose_name="Signs")
    date_order = tables.Column(verbose_name="Dates")

    def value_signs(self, record: StatementLayout) -> str:
        return record.get_signs_display()
