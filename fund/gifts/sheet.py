"""The sheet of a cash count, for the folder beside the safe."""

from datetime import datetime, time

from django.utils import timezone

from fund.gifts.models import CashCount
from fund.money import Money
from fund.pdf import render_pdf


def count_pdf(count: CashCount, fund: str) -> bytes:
    """A count as PDF: its number, what was counted, what the receipt book said, both names."""
    pieces = [
        [Money(int(face)).dollars, str(many), str(Money(int(face) * many))]
        for face, many in count.denominations.items()
    ]
    told = [
        ["Sheet", count.code],
        ["Day", f"{count.on:%Y-%m-%d}"],
        ["From", count.place],
        ["Counted by", f"{count.counted_by.label} and {count.second_by.label}"],
        ["Receipt book", str(count.receipts)],
    ]
    if count.spent:
        told.append(["Spent before it was counted", str(count.spent)])
    if apart := count.total + count.spent - count.receipts:
        told.append(["Over" if apart.minor > 0 else "Short", str(abs(apart))])
    if count.note:
        told.append(["Note", count.note])
    data = {
        "title": f"Cash count {count.code}",
        "foot": f"{fund}, count {count.code}, entry {count.entry_id}",
        "void": f"{count.void_why} ({count.void_on})" if count.void_on else "",
        "facts": told,
        "pieces": pieces,
        "total": ["Total", "", str(count.total)],
        "signatures": [count.counted_by.label, count.second_by.label],
    }
    at = timezone.make_aware(datetime.combine(count.on, time(12)))
    return render_pdf("count", data, at=at)
