"""What an entry holds and what repairs are bought for, as the tests of approvals read them."""

from datetime import date
from typing import Any

from fund import clock
from fund.access.models import Person
from fund.ledger.models import Entry, Line
from fund.receipts.actions import save_draft
from fund.receipts.models import Receipt
from jobs.approvals.actions_relations import answer_relation
from jobs.repairs.models import RepairOrder
from tests.fund.receipts.makers import line, paper

Whole = list[tuple[str, str, str, str]]


def whole(entry: Entry | int | None) -> Whole:
    """Every line of an entry: account, purpose, cost object, amount (debit positive), in the order of the entry."""
    number = entry.pk if isinstance(entry, Entry) else entry
    rows = Line.objects.filter(entry=number).order_by("ordinal")
    return [(row.account_id, row.purpose_id, row.cost_object_id or "", str(row.amount)) for row in rows]


def last_entry() -> Entry:
    return Entry.objects.latest("number")


def draft_of(
    by: Person,
    repair: RepairOrder,
    amount: str,
    *,
    home: str = "part",
    text: str = "part",
    number: str = "1",
    on: date | None = None,
    **more: Any,
) -> Receipt:
    """A receipt of one untaxed line for a repair, bought and entered by one person, as a draft."""
    if not repair.relations.filter(person=by, tie__isnull=False).exists():
        answer_relation(by=by, repair=repair, tie=False)
    goods = line(text, amount, (home, repair.number), taxable=False)
    data = paper(by, amount, "0.00", goods, number=number, on=on or clock.today(), **more)
    return save_draft(by=by, data=data)
