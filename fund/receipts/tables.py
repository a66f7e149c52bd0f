from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fund import clock
from fund.money import Money
from fund.receipts.homes import TENDERS
from fund.receipts.models import CoreDeposit, Receipt, ShelfLot
from fund.receipts.models_returns import Claim
from fund.receipts.quantities import number_words
from fund.receipts.queries_returns import open_amount
from fund.receipts.rules_shelf import core_warning, days_left
from fund.tables import A, BookTable, CodeColumn, DayColumn, MoneyColumn


class AmountColumn(tables.Column):
    """Thousandths of a unit, shown and saved as units."""

    css = "number"

    def render(self, value: int) -> str:
        return number_words(value)

    def value(self, value: int) -> Any:
        return Decimal(value).scaleb(-3)


class ReceiptTable(BookTable):
    region_label = "Receipts"

    code = CodeColumn(verbose_name="Receipt", linkify=("receipts:receipt", [A("code")]))
    on = DayColumn(verbose_name="Date", order_by=("on", "code"))
    supplier = tables.Column("Store", order_by=("supplier__name",))
    number = tables.Column("Number", orderable=False)
    buyer = tables.Column(
        "Who paid", accessor="buyer__label", order_by=("buyer__first_name", "buyer__last_name")
    )
    tender = tables.Column("Paid with")
    state = tables.Column("State")
    photo = tables.Column("Photo", orderable=False, empty_values=())
    total = MoneyColumn(verbose_name="Total")

    empty_words = "No receipt has been entered yet."

    def render_tender(self, record: Receipt) -> str:
        return TENDERS[record.tender].label

    def render_state(self, record: Receipt) -> str | SafeString:
        words = record.get_state_display()
        return words if record.state == "posted" else format_html('<span class="tag">{}</span>', words)

    def value_state(self, record: Receipt) -> str:
        return record.get_state_display()

    def render_photo(self, record: Receipt) -> str:
        return "yes" if record.photo_id else "no photo"


class LotTable(BookTable):
    region_label = "On the shelf"

    item = tables.Column("What", order_by=("item", "on"))
    code = CodeColumn(verbose_name="Lot", linkify=("shelf:lot", [A("code")]))
    left_quantity = AmountColumn("Left")
    unit = tables.Column("Unit", orderable=False)
    left_cost = MoneyColumn(verbose_name="Cost of what is left")
    each = MoneyColumn(verbose_name="Cost a unit", accessor="left_cost", orderable=False)
    on = DayColumn(verbose_name="Since")
    source = tables.Column("From", orderable=False)

    empty_words = "The shelf is empty. A receipt line that goes to the shelf makes a lot here."

    def render_each(self, record: ShelfLot) -> str:
        """About what one unit cost, shown to the ten-thousandth; the books use the lot's whole cost."""
        if not record.left_quantity:
            return ""
        return f"{Decimal(record.left_cost.minor) * 10 / record.left_quantity:.4f}"

    def value_each(self, record: ShelfLot) -> Any:
        return Decimal(self.render_each(record)) if record.left_quantity else None


class CoreTable(BookTable):
    region_label = "Core deposits"

    code = CodeColumn(verbose_name="Core", linkify=("shelf:core", [A("code")]))
    item = tables.Column("What")
    store = tables.Column("Store", order_by=("store__name", "due_on"))
    box = tables.Column("Lies in", orderable=False)
    repair = CodeColumn(verbose_name="Came with", accessor="cost_object_id", order_by=("cost_object_id",))
    on = DayColumn(verbose_name="Bought")
    due_on = DayColumn(verbose_name="Due")
    left = tables.Column("Days left", order_by=("due_on",), empty_values=())
    amount = MoneyColumn(verbose_name="Deposit")
    back = MoneyColumn(verbose_name="Came back", accessor="returned__amount_back", orderable=False)

    empty_words = "No core deposit is out. A receipt line marked as a core deposit makes one here."

    def render_left(self, record: CoreDeposit) -> str | SafeString:
        words = self.value_left(record)
        left = days_left(record.due_on, clock.today())
        strong = not hasattr(record, "returned") and left <= 7
        return format_html('<span class="tag tag-accent">{}</span>', words) if strong else words

    def value_left(self, record: CoreDeposit) -> str:
        if hasattr(record, "returned"):
            return f"{record.returned.get_kind_display()} on {record.returned.on}"
        return core_warning(days_left(record.due_on, clock.today()))


class ClaimTable(BookTable):
    region_label = "Due from stores"

    code = CodeColumn(verbose_name="Claim", linkify=("receipts:claim", [A("code")]))
    on = DayColumn(verbose_name="Since", order_by=("on", "code"))
    store = tables.Column("Store", order_by=("store__name",))
    text = tables.Column("For", orderable=False)
    kind = tables.Column("Why", orderable=False)
    receipt = CodeColumn(verbose_name="Receipt", accessor="receipt__code", orderable=False)
    amount = MoneyColumn(verbose_name="Claimed")
    still = MoneyColumn(verbose_name="Still open", accessor="amount", orderable=False)

    empty_words = "No store owes the fund anything. A part brought back to its store makes a claim here."

    def render_still(self, record: Claim) -> str:
        return str(open_amount(record))

    def value_still(self, record: Claim) -> Any:
        return Decimal(open_amount(record).minor).scaleb(-2)


def sum_words(amounts: Money | None, count: int, one: str, many: str) -> str:
    """``3 receipts, 161.29 together``."""
    return f"{count:,} {one if count == 1 else many}, {amounts or Money.zero} together"
