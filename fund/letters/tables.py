import django_filters
import django_tables2 as tables
from django.db.models import QuerySet

from fund.filters import BookFilterSet, WordsFilter
from fund.letters.models import Letter, TokenLimit
from fund.letters.queries import is_void
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn, NumberColumn


class LetterTable(BookTable):
    region_label = "Letters"
    empty_words = "No letter is written yet."

    number = CodeColumn(verbose_name="Letter", linkify=("letters:letter", [A("number")]))
    on = DayColumn(verbose_name="Date")
    to_name = tables.Column(verbose_name="To")
    supporter = tables.Column(verbose_name="Supporter", accessor="supporter__code")
    kind = tables.Column(verbose_name="About")
    gifts = NumberColumn(verbose_name="Gifts")
    state = tables.Column(verbose_name="State", accessor="number", orderable=False)
    amount = MoneyColumn(verbose_name="Money given")
    gift_part = MoneyColumn(verbose_name="Counts as gift")

    def render_kind(self, record: Letter) -> str:
        return f"the year {record.year}" if record.kind == "year" else f"one gift of {record.year}"

    value_kind = render_kind

    def render_state(self, record: Letter) -> str:
        return "void" if is_void(record) else "stands"

    value_state = render_state


class LetterFilter(BookFilterSet):
    words = WordsFilter(["to_name", "supporter__code", "to_email"], label="Name, code or e-mail")
    number = django_filters.NumberFilter(label="Letter number")
    year = django_filters.NumberFilter(label="Year")
    void = django_filters.ChoiceFilter(
        label="State",
        choices=[("stands", "stands"), ("void", "void")],
        empty_label="any",
        method="by_state",
    )

    class Meta(BookFilterSet.Meta):
        model = Letter
        fields: list[str] = []

    def by_state(self, rows: QuerySet[Letter], name: str, value: str) -> QuerySet[Letter]:
        return rows.filter(void__isnull=value == "stands")


class LimitTable(BookTable):
    region_label = "Figures for small benefits"

    year = CodeColumn(verbose_name="Year")
    low_cost = MoneyColumn(verbose_name="Article costs at most")
    floor = MoneyColumn(verbose_name="From a gift of")
    cap = MoneyColumn(verbose_name="2% at most")
    procedure = tables.Column(verbose_name="Revenue procedure")
    seen = tables.Column(verbose_name="Known")
    source = tables.Column(verbose_name="Source")

    class Meta(BookTable.Meta):
        model = TokenLimit
        fields = ("year", "low_cost", "floor", "cap", "procedure", "seen", "source")
