"""Receipts and repairs for the tests of this room, made through the real actions."""

from datetime import date
from typing import Any

from fund.access.models import Person
from fund.commitments.actions import promise
from fund.ledger.actions import add_cost_object, post
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.models import Entry, Line
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money, parse_money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import Receipt, ReceiptPortion, ShelfIssue
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput

DAY = date(2026, 3, 3)


def m(text: str) -> Money:
    return parse_money(text)


def fill_bank(by: Person, amount: str = "10000.00") -> Entry:
    lines = [dr(BANK, m(amount)), cr(GIFTS, m(amount))]
    return post(by=by, draft=EntryDraft("gift", date(2026, 3, 1), "Gifts so far", lines))


def open_repair(by: Person, code: str, approved: str = "500.00", tolerance: str = "50.00") -> str:
    """A repair order with money promised to it."""
    add_cost_object(by=by, code=code, label=f"Household of {code}")
    promise(
        by=by,
        cost_object=code,
        amount=m(approved),
        tolerance=m(tolerance),
        reason="approved",
        on=date(2026, 3, 2),
    )
    return code


def line(text: str, amount: str, *homes: Any, **more: Any) -> LineInput:
    """A line; each home is a name, (name, repair) or (name, repair, thousandths)."""
    parts = [home if isinstance(home, tuple) else (home,) for home in homes]
    return LineInput(text, m(amount), tuple(PortionInput(*part) for part in parts), **more)


def paper(buyer: Person, total: str, tax: str, *lines: LineInput, **more: Any) -> ReceiptInput:
    fields: dict[str, Any] = {
        "store": "Gantry Parts",
        "number": "4471",
        "on": DAY,
        "tender": "own_money",
        **more,
    }
    return ReceiptInput(total=m(total), tax=m(tax), buyer=buyer, lines=lines, **fields)


def bought(by: Person, data: ReceiptInput) -> Receipt:
    return post_receipt(by=by, receipt=save_draft(by=by, data=data))


def booked(receipt: Receipt) -> list[tuple[str, str, str, str]]:
    """The entry's lines as (account, amount, cost object, party)."""
    return entry_lines(receipt.entry_id)


def entry_lines(number: int | None) -> list[tuple[str, str, str, str]]:
    rows = Line.objects.filter(entry=number).order_by("ordinal")
    return [(row.account_id, str(row.amount), row.cost_object_id or "", row.party) for row in rows]


def went_into(repair: str) -> list[tuple[str, int, str]]:
    """What a repair was charged for: text, thousandths and amount, from posted receipts and then from the shelf."""
    bought = ReceiptPortion.objects.filter(cost_object=repair, line__receipt__state="posted").exclude(
        home="core"
    )
    rows = [(row.line.text, row.quantity, str(row.amount)) for row in bought.select_related("line")]
    issued = ShelfIssue.objects.filter(cost_object=repair).select_related("lot").order_by("pk")
    return rows + [(row.lot.item, row.quantity, str(row.amount)) for row in issued]
