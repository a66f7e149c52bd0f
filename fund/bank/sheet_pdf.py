"""The statement of reconciliation on paper."""

from collections.abc import Sequence
from datetime import datetime

from django.utils import timezone

from fund.bank.models import Reconciliation
from fund.bank.rules_reconciling import Item, Reckoning, sum_items
from fund.pdf import render_pdf
from fund.rulebook.queries import rule


def reconciliation_pdf(
    found: Reconciliation,
    figures: Reckoning,
    reviewer: str = "",
    reviewed_at: datetime | None = None,
    note: str = "",
) -> bytes:
    """The PDF of a reconciliation; without a reviewer it says that it is not reviewed yet."""
    data = {
        "title": f"Bank reconciliation {found.month}",
        "fund": str(rule("fund_name")),
        "account": str(found.account),
        "foot": f"{rule('fund_name')}, bank reconciliation {found.month}",
        "bank": [
            ["Balance on the statement", "", str(figures.statement)],
            *_rows("Deposit in transit", figures.in_transit),
            *_rows("Outstanding", figures.outstanding),
            *_rows("Error of the bank", figures.bank_errors),
        ],
        "bank_side": str(figures.bank_side),
        "books": [
            ["Balance in the books", "", str(figures.books)],
            *_rows("Only at the bank", figures.only_bank),
        ],
        "book_side": str(figures.book_side),
        "difference": str(figures.difference),
        "sums": f"In transit {sum_items(figures.in_transit)}, outstanding {-sum_items(figures.outstanding)}.",
        "signs": [
            ["Prepared by", found.prepared_by.label, _moment(found.prepared_at)],
            ["Reviewed by", reviewer or "not reviewed yet", _moment(reviewed_at) if reviewed_at else ""],
        ],
        "note": note,
    }
    return render_pdf("reconciliation", data, at=reviewed_at or found.prepared_at)


def _rows(kind: str, items: Sequence[Item]) -> list[list[str]]:
    return [[f"{kind}: {_told(item)}", f"{item.on}, {_days(item.age)}", str(item.amount)] for item in items]


def _told(item: Item) -> str:
    return f"{item.label} ({item.note})" if item.note else item.label


def _days(age: int) -> str:
    return "1 day" if age == 1 else f"{age} days"


def _moment(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"
