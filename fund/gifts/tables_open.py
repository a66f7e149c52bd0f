import django_filters
import django_tables2 as tables
from django.urls import reverse

from fund.filters import BookFilterSet, DayFilter, WordsFilter, YesNoFilter
from fund.gifts.models import (
    Benefit,
    ExchangeRate,
    GiftException,
    GiftReturn,
    HeldCheck,
    Loan,
    Pledge,
    RestrictionChange,
)
from fund.gifts.rules_exchange import rate_words
from fund.gifts.rules_restrictions import STATES
from fund.gifts.rules_returns import DISPUTES
from fund.gifts.rules_watch import EXCEPTIONS
from fund.money import Money
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn, NumberColumn


class HeldCheckTable(BookTable):
    region_label = "Held checks"
    empty_words = "No check is held. One with a date to come is written down here and is no gift until then."

    code = CodeColumn(verbose_name="Held", linkify=("gifts:check", [A("code")]))
    dated_on = DayColumn(verbose_name="Dated")
    supporter = tables.Column(verbose_name="Supporter", order_by="supporter__name")
    check_number = tables.Column(verbose_name="Check")
    arrived_on = DayColumn(verbose_name="Came")
    became = tables.Column(verbose_name="What became of it", empty_values=(), orderable=False)
    amount = MoneyColumn(verbose_name="Amount")

    def render_became(self, record: HeldCheck) -> str:
        if record.gift:
            return f"gift {record.gift.code}"
        return f"handed back {record.handed_back_on}" if record.handed_back_on else "held"

    value_became = render_became


class HeldCheckFilter(BookFilterSet):
    words = WordsFilter(
        ["code", "supporter__name", "supporter__code", "check_number"], label="Name, code or number"
    )
    since = DayFilter(field_name="dated_on", lookup_expr="gte", label="Dated from")

    class Meta(BookFilterSet.Meta):
        model = HeldCheck
        fields: list[str] = []


class ExceptionTable(BookTable):
    region_label = "Exceptions"
    empty_words = "Nothing about gifts needs a second look."

    code = CodeColumn(verbose_name="Exception", linkify=("gifts:exception", [A("code")]))
    on = DayColumn(verbose_name="Day")
    kind = tables.Column(verbose_name="What")
    text = tables.Column(verbose_name="In words", orderable=False)
    resolved_on = DayColumn(verbose_name="Resolved")


class ExceptionFilter(BookFilterSet):
    words = WordsFilter(["code", "text", "resolution", "gifts__code"], label="Words or code")
    kind = django_filters.ChoiceFilter(label="What", choices=list(EXCEPTIONS.items()), empty_label="any")
    unresolved = YesNoFilter(field_name="resolved_on", lookup_expr="isnull", label="Open")

    class Meta(BookFilterSet.Meta):
        model = GiftException
        fields: list[str] = []


class DisputeTable(BookTable):
    region_label = "Disputes"
    empty_words = "No gift was ever charged back."

    on = DayColumn(verbose_name="Taken")
    gift = tables.Column(
        verbose_name="Gift", empty_values=(), linkify=lambda record: _gift_url(record), order_by="gift__code"
    )
    platform = tables.Column(verbose_name="Platform", order_by="platform__name")
    platform_ref = tables.Column(verbose_name="Its id", orderable=False)
    outcome = tables.Column(verbose_name="How it stands")
    decided_on = DayColumn(verbose_name="Decided")
    fee = MoneyColumn(verbose_name="Fee", zero=False)
    amount = MoneyColumn(verbose_name="Amount")

    def render_gift(self, record: GiftReturn) -> str:
        return record.gift.code if record.gift else "one the books do not know"

    value_gift = render_gift


def _gift_url(record: GiftReturn) -> str | None:
    return reverse("gifts:gift", args=[record.gift.code]) if record.gift else None


class DisputeFilter(BookFilterSet):
    words = WordsFilter(["gift__code", "platform_ref", "gift__supporter__name"], label="Gift, id or name")
    outcome = django_filters.ChoiceFilter(
        label="How it stands", choices=list(DISPUTES.items()), empty_label="any"
    )

    class Meta(BookFilterSet.Meta):
        model = GiftReturn
        fields: list[str] = []


class RestrictionTable(BookTable):
    region_label = "Changes of restricted money"
    empty_words = "No giver's restriction was ever changed."

    code = CodeColumn(verbose_name="Change", linkify=("gifts:restriction", [A("code")]))
    on = DayColumn(verbose_name="Day")
    purpose = tables.Column(verbose_name="Purpose", order_by="purpose__name")
    kind = tables.Column(verbose_name="What")
    asked_by = tables.Column(verbose_name="Asked by", order_by="asked_by__first_name")
    state = tables.Column(verbose_name="State")
    amount = MoneyColumn(verbose_name="Amount")


class RestrictionFilter(BookFilterSet):
    words = WordsFilter(["code", "words", "purpose__name"], label="Words or code")
    state = django_filters.ChoiceFilter(label="State", choices=list(STATES.items()), empty_label="any")

    class Meta(BookFilterSet.Meta):
        model = RestrictionChange
        fields: list[str] = []


class LoanTable(BookTable):
    region_label = "Loans"
    empty_words = "Nobody has lent the fund money."

    code = CodeColumn(verbose_name="Loan", linkify=("gifts:loan", [A("code")]))
    on = DayColumn(verbose_name="Day")
    lender = tables.Column(verbose_name="Lender", order_by="lender__name")
    words = tables.Column(verbose_name="What for", orderable=False)
    amount = MoneyColumn(verbose_name="Lent")
    owed = MoneyColumn(verbose_name="Still owed", empty_values=(), orderable=False)

    def render_owed(self, record: Loan) -> str:
        return str(self.value_owed(record))

    def value_owed(self, record: Loan) -> Money:
        gone: Money = getattr(record, "gone")  # noqa: B009  (annotated by queries_loans.loans)
        return record.amount - gone


class LoanFilter(BookFilterSet):
    words = WordsFilter(["code", "lender__name", "words"], label="Name, words or code")

    class Meta(BookFilterSet.Meta):
        model = Loan
        fields: list[str] = []


class PledgeTable(BookTable):
    region_label = "Pledges"
    empty_words = "No pledge is written down. A pledge is never booked; it only shows in the outlook."

    code = CodeColumn(verbose_name="Pledge", linkify=("gifts:pledge", [A("code")]))
    due_on = DayColumn(verbose_name="When")
    supporter = tables.Column(verbose_name="Supporter", order_by="supporter__name")
    monthly = tables.Column(verbose_name="How often")
    ended_on = DayColumn(verbose_name="Ended")
    amount = MoneyColumn(verbose_name="Amount")

    def render_monthly(self, value: bool) -> str:
        return "every month" if value else "once"

    value_monthly = render_monthly


class PledgeFilter(BookFilterSet):
    words = WordsFilter(["code", "supporter__name", "words"], label="Name, words or code")
    standing = YesNoFilter(field_name="ended_on", lookup_expr="isnull", label="Open")

    class Meta(BookFilterSet.Meta):
        model = Pledge
        fields: list[str] = []


class RateTable(BookTable):
    region_label = "Rates of exchange"
    empty_words = "No rate is written down. Rates are needed for files that tell none."

    currency = CodeColumn(verbose_name="Currency")
    on = DayColumn(verbose_name="From")
    rate_millionths = NumberColumn(verbose_name="Our money for one unit")
    source = tables.Column(verbose_name="Published by")

    def render_rate_millionths(self, value: int) -> str:
        return rate_words(value)

    value_rate_millionths = render_rate_millionths


class RateFilter(BookFilterSet):
    words = WordsFilter(["currency", "source"], label="Currency or source")

    class Meta(BookFilterSet.Meta):
        model = ExchangeRate
        fields: list[str] = []


class BenefitTable(BookTable):
    region_label = "Benefits"
    empty_words = "Members get nothing in return."

    name = tables.Column(verbose_name="Benefit")
    bears_name = tables.Column(verbose_name="Bears the fund's name")
    value = MoneyColumn(verbose_name="Worth")
    cost = MoneyColumn(verbose_name="Costs")

    def render_bears_name(self, value: bool) -> str:
        return "yes" if value else "no"

    value_bears_name = render_bears_name


class BenefitFilter(BookFilterSet):
    words = WordsFilter(["name"], label="Name")

    class Meta(BookFilterSet.Meta):
        model = Benefit
        fields: list[str] = []
