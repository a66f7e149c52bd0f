from decimal import Decimal

import django_tables2 as tables
from django.utils.safestring import SafeString

from fund.repayments.models import Advance, Mileage, MileageRate, Repayment
from fund.repayments.queries import OpenClaim, Owed
from fund.repayments.queries_held import OpenAdvance
from fund.repayments.rules import cents_text
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn, NumberColumn
from fund.templatetags.book import code_link


class OwedTable(BookTable):
    region_label = "Owed to the crew"
    empty_words = "Nobody waits for money, and nobody owes the fund any."

    person = tables.Column("Crew member", linkify=("repayments:person", [A("person__username")]))
    receipts = NumberColumn(verbose_name="Claims")
    oldest = DayColumn(verbose_name="Oldest")
    days = NumberColumn(verbose_name="Days old")
    amount = MoneyColumn(verbose_name="Owed to them")
    prepared = MoneyColumn(verbose_name="Prepared", zero=False)
    due = MoneyColumn(verbose_name="They owe the fund", zero=False)
    advance = MoneyColumn(verbose_name="Held in advance", zero=False)

    def render_days(self, record: Owed) -> str:
        return str(record.days) if record.oldest else ""


class UnpaidTable(BookTable):
    region_label = "Claims not paid back yet"
    empty_words = "No receipt waits to be paid back."

    code = CodeColumn(verbose_name="Claim")
    on = DayColumn(verbose_name="Date")
    what = tables.Column(verbose_name="Store or drive")
    photo = tables.Column(verbose_name="Photo", empty_values=())
    days = NumberColumn(verbose_name="Days old")
    expected = DayColumn(verbose_name="Expected by")
    flag = tables.Column(verbose_name="Note")
    amount = MoneyColumn(verbose_name="Owed")

    def render_code(self, record: OpenClaim) -> SafeString | str:
        return code_link(record.code) if record.receipt else record.code

    def value_code(self, record: OpenClaim) -> str:
        return record.code

    def render_photo(self, record: OpenClaim) -> str:
        if record.mileage:
            return ""
        return "yes" if record.photo else "no photo"

    value_photo = render_photo


class RepaymentTable(BookTable):
    region_label = "Repayments"
    empty_words = "Nothing has been paid back yet."

    code = CodeColumn(verbose_name="Repayment", linkify=("repayments:payment", [A("code")]))
    on = DayColumn(verbose_name="Day", order_by=("on", "code"))
    person = tables.Column("To", order_by=("person__first_name", "person__last_name"))
    state = tables.Column("State")
    way = tables.Column(verbose_name="How")
    n = NumberColumn(verbose_name="Claims")
    prepared_by = tables.Column("Prepared by", orderable=False)
    released_by = tables.Column("Released by", orderable=False)
    amount = MoneyColumn(verbose_name="Amount")

    def render_state(self, record: Repayment) -> str:
        return record.get_state_display()


class OpenAdvanceTable(BookTable):
    region_label = "Advances not accounted for"
    empty_words = "Nobody holds money of the fund in advance."

    code = CodeColumn(
        verbose_name="Advance", accessor="advance__code", linkify=("repayments:advance", [A("advance__code")])
    )
    person = tables.Column(verbose_name="Held by", accessor="advance__person")
    reason = tables.Column(verbose_name="To buy", accessor="advance__reason")
    on = DayColumn(verbose_name="Given", accessor="advance__on")
    days = NumberColumn(verbose_name="Days")
    over = tables.Column(verbose_name="Limit")
    given = MoneyColumn(verbose_name="Amount", accessor="advance__amount")
    left = MoneyColumn(verbose_name="Left")

    def render_over(self, record: OpenAdvance) -> str:
        return f"{record.over} days over" if record.over else "in time"

    value_over = render_over


class AdvanceTable(BookTable):
    region_label = "All advances"
    empty_words = "No advance has been asked for yet."

    code = CodeColumn(verbose_name="Advance", linkify=("repayments:advance", [A("code")]))
    on = DayColumn(verbose_name="Day", order_by=("on", "code"))
    person = tables.Column("To", order_by=("person__first_name", "person__last_name"))
    reason = tables.Column("To buy")
    state = tables.Column("State")
    amount = MoneyColumn(verbose_name="Amount")

    class Meta(BookTable.Meta):
        model = Advance
        fields = ("code", "on", "person", "reason", "state", "amount")


class MileageTable(BookTable):
    region_label = "Miles driven for the fund"
    empty_words = "No miles are written down yet."

    code = CodeColumn(verbose_name="Miles no.")
    on = DayColumn(verbose_name="Day", order_by=("on", "code"))
    person = tables.Column("Driver", order_by=("person__first_name", "person__last_name"))
    reason = tables.Column("Where to and why")
    tenths = NumberColumn(verbose_name="Miles")
    rate = NumberColumn(verbose_name="Cents a mile")
    state = tables.Column("State", accessor="state", order_by=("state",))
    amount = MoneyColumn(verbose_name="Amount")

    class Meta(BookTable.Meta):
        model = Mileage
        fields = ("code", "on", "person", "reason", "tenths", "rate", "state", "amount")

    def render_tenths(self, value: int) -> str:
        return cents_text(value)

    def value_tenths(self, value: int) -> Decimal:
        return Decimal(value).scaleb(-1)

    render_rate, value_rate = render_tenths, value_tenths

    def render_state(self, record: Mileage) -> str:
        item = getattr(record, "repayment_item", None)
        if item:
            return f"{item.repayment.code}, {item.repayment.get_state_display()}"
        return "not paid back yet" if record.state == "posted" else record.get_state_display()

    value_state = render_state


class MileageRateTable(BookTable):
    region_label = "Rates a mile"

    valid_from = DayColumn(verbose_name="Valid from")
    tenths = NumberColumn(verbose_name="Cents a mile")
    source = tables.Column("Source")

    class Meta(BookTable.Meta):
        model = MileageRate
        fields = ("valid_from", "tenths", "source")

    def render_tenths(self, value: int) -> str:
        return cents_text(value)

    def value_tenths(self, value: int) -> Decimal:
        return Decimal(value).scaleb(-1)
