import django_filters
import django_tables2 as tables
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from fund import clock
from fund.filters import BookFilterSet, DayFilter, MoneyFilter, WordsFilter, YesNoFilter
from fund.gifts.models import CashCount, Gift, Layout, Payout, Platform, Supporter
from fund.gifts.queries_letters import STANDING, STATES, facts_of
from fund.gifts.queries_payout import RowFate
from fund.gifts.queries_supporters import pattern_now, with_pattern
from fund.gifts.rules import GIFT_KINDS, SUPPORTER_KINDS
from fund.gifts.rules_pattern import PATTERNS
from fund.ledger.models import Purpose
from fund.money import Money
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn, NumberColumn


class GiftTable(BookTable):
    region_label = "Gifts"
    empty_words = "No gift is written here yet."

    code = CodeColumn(verbose_name="Gift", linkify=("gifts:gift", [A("code")]))
    received_on = DayColumn(verbose_name="Received")
    supporter = tables.Column(
        verbose_name="Supporter", order_by=("supporter__name", "supporter__code"), empty_values=()
    )
    kind = tables.Column(verbose_name="By")
    purpose = tables.Column(verbose_name="Purpose", order_by="purpose__name")
    platform_ref = tables.Column(verbose_name="Platform's id", orderable=False)
    stands = tables.Column(verbose_name="How it stands", empty_values=(), orderable=False)
    fees = MoneyColumn(verbose_name="Fees", accessor="platform_fee", orderable=False, zero=False)
    amount = MoneyColumn(verbose_name="Amount")

    def render_stands(self, record: Gift) -> str:
        """Empty for a gift that stands, which most do."""
        state = facts_of(record).state
        return "" if state == STANDING else STATES[state]

    def value_stands(self, record: Gift) -> str:
        return STATES[facts_of(record).state]

    def render_supporter(self, record: Gift) -> str:
        return record.supporter.name if record.supporter else "unnamed"

    def value_supporter(self, record: Gift) -> str:
        return str(record.supporter) if record.supporter else "unnamed"

    def render_fees(self, record: Gift) -> str:
        kept = record.platform_fee + record.processing_fee
        return str(kept) if kept else ""

    def value_fees(self, record: Gift) -> Money:
        return record.platform_fee + record.processing_fee


class SupporterGiftTable(GiftTable):
    """The gifts of one supporter, each with its payout and its letters. See :func:`with_letters`."""

    payout = tables.Column(
        verbose_name="Payout",
        accessor="payout__ref",
        orderable=False,
        linkify=lambda record: reverse("gifts:payout", args=[record.payout_id]) if record.payout_id else None,
    )
    letters = tables.Column(verbose_name="Letters", empty_values=(), orderable=False)

    class Meta(GiftTable.Meta):
        exclude = ("supporter", "platform_ref")
        sequence = (
            "code", "received_on", "kind", "purpose", "payout", "letters", "stands", "fees", "amount"
        )  # fmt: skip

    def render_letters(self, record: Gift) -> SafeString:
        told = [(reverse("letters:letter", args=[number]), number, void) for number, void in _letters(record)]
        return format_html_join(", ", '<a href="{}">{}</a>{}', told)

    def value_letters(self, record: Gift) -> str:
        return ", ".join(f"{number}{void}" for number, void in _letters(record))


def _letters(gift: Gift) -> list[tuple[int, str]]:
    lines = gift.letter_lines.all()
    return [(line.letter_id, " (void)" if hasattr(line.letter, "void") else "") for line in lines]


class GiftFilter(BookFilterSet):
    words = WordsFilter(
        ["code", "supporter__name", "supporter__code", "platform_ref", "check_number", "note"],
        label="Name, code or number",
    )
    since = DayFilter(field_name="received_on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="received_on", lookup_expr="lte", label="Until")
    kind = django_filters.ChoiceFilter(label="By", choices=list(GIFT_KINDS.items()), empty_label="any")
    purpose = django_filters.ModelChoiceFilter(
        label="Purpose", queryset=Purpose.objects.all(), empty_label="any"
    )
    amount = MoneyFilter(field_name="amount", label="Amount")

    class Meta(BookFilterSet.Meta):
        model = Gift
        fields: list[str] = []


class SupporterTable(BookTable):
    region_label = "Supporters"
    empty_words = "No supporter is written here yet."

    name = tables.Column(verbose_name="Supporter", linkify=("gifts:supporter", [A("code")]))
    code = CodeColumn(verbose_name="Code")
    kind = tables.Column(verbose_name="Kind")
    email = tables.Column(verbose_name="E-mail")
    anonymous = tables.Column(verbose_name="In public")
    gift_count = NumberColumn(verbose_name="Gifts")
    latest = DayColumn(verbose_name="Latest")
    pattern = tables.Column(verbose_name="Monthly", empty_values=(), orderable=False)
    given = MoneyColumn(verbose_name="Given")

    def render_pattern(self, record: Supporter) -> str:
        return pattern_now(record, clock.today()).state

    value_pattern = render_pattern

    def render_anonymous(self, value: bool) -> str:
        return "unnamed" if value else "named"

    value_anonymous = render_anonymous


class SupporterFilter(BookFilterSet):
    words = WordsFilter(["name", "code", "email"], label="Name, code or e-mail")
    kind = django_filters.ChoiceFilter(label="Kind", choices=list(SUPPORTER_KINDS.items()), empty_label="any")
    anonymous = django_filters.ChoiceFilter(
        label="In public", choices=[("True", "unnamed"), ("False", "named")], empty_label="any"
    )

    pattern = django_filters.ChoiceFilter(
        label="Monthly", choices=list(PATTERNS.items()), empty_label="any", method="by_pattern"
    )

    def by_pattern(self, rows: QuerySet[Supporter], name: str, value: str) -> QuerySet[Supporter]:
        return with_pattern(rows, value, clock.today())

    class Meta(BookFilterSet.Meta):
        model = Supporter
        fields: list[str] = []


class PayoutTable(BookTable):
    region_label = "Payouts"
    empty_words = "No payout is posted yet. Upload a platform's file to post the first."

    ref = CodeColumn(verbose_name="Payout", linkify=("gifts:payout", [A("pk")]))
    platform = tables.Column(verbose_name="Platform", order_by="platform__name")
    paid_on = DayColumn(verbose_name="Paid on")
    gift_count = NumberColumn(verbose_name="Gifts")
    gross = MoneyColumn(verbose_name="Gross")
    fees = MoneyColumn(verbose_name="Fees", accessor="platform_fee", orderable=False)
    refunds = MoneyColumn(verbose_name="Returned", zero=False)
    net = MoneyColumn(verbose_name="To the bank")

    def render_fees(self, record: Payout) -> str:
        return str(self.value_fees(record))

    def value_fees(self, record: Payout) -> Money:
        return record.platform_fee + record.processing_fee + record.dispute_fee


class PayoutFilter(BookFilterSet):
    words = WordsFilter(["ref", "file__name"], label="Payout or file")
    platform = django_filters.ModelChoiceFilter(
        label="Platform", queryset=Platform.objects.all(), empty_label="any"
    )
    since = DayFilter(field_name="paid_on", lookup_expr="gte", label="From")
    until = DayFilter(field_name="paid_on", lookup_expr="lte", label="Until")

    class Meta(BookFilterSet.Meta):
        model = Payout
        fields: list[str] = []


class FateTable(BookTable):
    """Every row of a file and what becomes of it."""

    region_label = "Rows of the file"

    row = NumberColumn(verbose_name="Row")
    fate = tables.Column(verbose_name="What becomes of it")
    kind = tables.Column(verbose_name="Kind")
    ref = CodeColumn(verbose_name="Platform's id")
    on = DayColumn(verbose_name="Date")
    who = tables.Column(verbose_name="Supporter")
    purpose = tables.Column(verbose_name="Purpose")
    fees = MoneyColumn(verbose_name="Fees", zero=False)
    amount = MoneyColumn(verbose_name="Amount")

    def render_fate(self, record: RowFate) -> str:
        return f"{record.fate}: {record.why}" if record.why else record.fate

    value_fate = render_fate


class CountTable(BookTable):
    region_label = "Cash counts"
    empty_words = "No cash is counted yet. Two people count and sign together."

    code = CodeColumn(verbose_name="Count", linkify=("gifts:count", [A("code")]))
    on = DayColumn(verbose_name="Day")
    place = tables.Column(verbose_name="From")
    counted_by = tables.Column(verbose_name="Counted by", order_by="counted_by__first_name")
    second_by = tables.Column(verbose_name="and", order_by="second_by__first_name")
    deposit = tables.Column(verbose_name="Banked", empty_values=(), order_by="deposit__on")
    total = MoneyColumn(verbose_name="Total")

    def render_deposit(self, record: CashCount) -> str:
        if record.void_on:
            return "void"
        return f"{record.deposit.on}" if record.deposit else "not yet"

    value_deposit = render_deposit


class CountFilter(BookFilterSet):
    words = WordsFilter(["code", "place", "note"], label="Code or place")
    banked = YesNoFilter(field_name="deposit", lookup_expr="isnull", exclude=True, label="Banked")

    class Meta(BookFilterSet.Meta):
        model = CashCount
        fields: list[str] = []


class LayoutTable(BookTable):
    region_label = "Layouts"
    empty_words = "No layout is saved yet."

    name = CodeColumn(verbose_name="Layout", linkify=("gifts:layout", [A("name")]))
    platform = tables.Column(verbose_name="Platform", order_by="platform__name")
    reads = tables.Column(verbose_name="Columns it reads", accessor="columns", orderable=False)
    date_order = tables.Column(verbose_name="Dates")
    encoding = tables.Column(verbose_name="Encoding")

    def render_reads(self, record: Layout) -> str:
        return ", ".join(record.spec.headers)

    value_reads = render_reads
