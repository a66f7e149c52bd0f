"""Payout files of the two invented platforms, and a short way to write entries in a test."""

import csv
import io
from typing import Any

from fund.gifts.models import Layout
from fund.ledger.models import Entry
from fund.money import Money

PATCH = [
    "Charge No",
    "Charged On",
    "What",
    "Pledge Paid",
    "Platform Share",
    "Card Cost",
    "Left After Fees",
    "Transfer No",
    "Of Charge",
    "Member No",
    "Member",
    "Mail",
    "Keep Private",
]
KETTLE = [
    "id",
    "day",
    "movement",
    "amount",
    "processor_fee",
    "payout_id",
    "original_id",
    "card_name",
    "receipt_email",
    "giver_note_code",
]
Line = tuple[str, str, str, str]


def text_of(header: list[str], rows: list[dict[str, Any]], delimiter: str = ",") -> bytes:
    out = io.StringIO()
    writer = csv.DictWriter(out, header, restval="", delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


def pledge(
    ref: str, day: str, amount: str, share: str = "", cost: str = "", to: str = "T1", **more: str
) -> dict[str, str]:
    row = {"Charge No": ref, "Charged On": day, "What": "Pledge", "Pledge Paid": amount, "Transfer No": to}
    return {**row, "Platform Share": share, "Card Cost": cost, **more}


def sent_back(ref: str, day: str, amount: str, of: str = "", to: str = "T1", **more: str) -> dict[str, str]:
    return pledge(ref, day, amount, to=to, **{"What": "Pledge sent back", "Of Charge": of, **more})


def transfer(ref: str, day: str, amount: str) -> dict[str, str]:
    return {
        "Charge No": f"row-{ref}",
        "Charged On": day,
        "What": "Transfer",
        "Pledge Paid": amount,
        "Transfer No": ref,
    }


def patch_file(*rows: dict[str, str]) -> bytes:
    return text_of(PATCH, list(rows))


def taken(ref: str, day: str, amount: str, fee: str = "", to: str = "P1", **more: str) -> dict[str, str]:
    row = {
        "id": ref,
        "day": day,
        "movement": "gift taken",
        "amount": amount,
        "processor_fee": fee,
        "payout_id": to,
    }
    return {**row, **more}


def to_bank(ref: str, day: str, amount: str) -> dict[str, str]:
    return {"id": f"row-{ref}", "day": day, "movement": "to bank", "amount": amount, "payout_id": ref}


def kettle_file(*rows: dict[str, str]) -> bytes:
    return text_of(KETTLE, list(rows))


def patch_circle() -> Layout:
    return Layout.objects.get(name="patch-circle")


def kettle_card() -> Layout:
    return Layout.objects.get(name="kettle-card")


def lines_of(entry: Entry | None) -> list[Line]:
    """The whole entry: account, purpose, signed amount (debit positive), party."""
    assert entry is not None
    return [
        (line.account_id, line.purpose_id, str(line.amount), line.party)
        for line in entry.lines.order_by("ordinal")
    ]


def money(text: str) -> Money:
    whole, _, cents = text.replace(",", "").partition(".")
    return Money(int(whole) * 100 + int(cents or 0) * (-1 if whole.startswith("-") else 1))


def demo_patch_rows() -> list[dict[str, str]]:
    """86 supporters, 1,184.00 gross; platform 94.72 and processing 58.30 kept; 10.00 sent back; 1,020.98 paid."""
    amounts = [500] * 30 + [1000] * 28 + [1500] * 14 + [2000] * 9 + [5000, 5000, 10000, 10000, 6400]
    rows = []
    for number, amount in enumerate(amounts, start=1):
        share, cost = Money(amount * 8 // 100), Money(68 if number <= 68 else 67)
        day = f"03/{(number % 28) + 1:02}/2026"
        member = {"Member No": f"m{number}", "Member": f"Member {number}", "Mail": f"m{number}@example.org"}
        rows.append(pledge(f"ch{number}", day, str(Money(amount)), str(share), str(cost), "T3", **member))
    rows.append(sent_back("back1", "03/20/2026", "10.00", of="ch31", to="T3"))
    return [*rows, transfer("T3", "03/31/2026", "1020.98")]


def demo_card_rows() -> list[dict[str, str]]:
    """14 gifts of 640.00 with 18.28 fees and one of 150.00 for tires with 3.60; 768.12 paid."""
    fees = [131] * 8 + [130] * 6
    rows = [
        taken(
            f"c{n}",
            f"2026-03-{n + 1:02}",
            "40.00" if n < 14 else "120.00",
            str(Money(fee)),
            "P3",
            receipt_email=f"card{n}@example.org",
        )
        for n, fee in enumerate(fees, start=1)
    ]
    rows.append(
        taken("c15", "2026-03-18", "150.00", "3.60", "P3", card_name="Rowan Ames", giver_note_code="tires")
    )
    return [*rows, to_bank("P3", "2026-03-30", "-768.12")]
