"""Refund slips, void papers, quotations and second prints add up as well as a purchase does. None of them is trusted."""

from datetime import date
from typing import Any

import pytest

from fund.receipts.filling import doubts_of, fill
from fund.receipts.reading.engine import boxes_of
from fund.receipts.reading.rules import Row, rows_of_print
from fund.receipts.reading.rules_fields import FIELDS, Reading, read
from fund.receipts.reading.rules_kind import no_purchase
from tests.fund.receipts.draw.paper import draw, papers, rows_of

TODAY = date(2026, 3, 15)
OTHERS = [paper for paper in papers() if "says" in paper]
PURCHASES = [paper for paper in papers() if "says" not in paper]
SALE = (
    "GANTRY PARTS", "Receipt 4471  03/03/2026", "FRONT PADS  80.00", "BELT  110.00", "SUBTOTAL  190.00", "TAX  15.66",
    "TOTAL  205.66", "CARD ****4471  205.66",
)  # fmt: skip


def _read(*texts: str) -> Reading:
    return read([Row(text, 0.99) for text in texts], TODAY)


def _printed(paper: dict[str, Any]) -> list[str]:
    return [row for left, right in rows_of(paper) if (row := f"{left}  {right}".strip())]


def test_a_refund_slip_is_doubted_whole_with_its_own_word() -> None:
    assert _read(*SALE).trusted
    got = _read(*SALE[:6], "REFUND TOTAL  205.66", SALE[7])
    why = "The paper says “REFUND”: it may tell of money that came back, and of no purchase."
    assert not got.trusted
    assert got.says == dict.fromkeys(("store", "number", "on", "lines", "tax", "total"), why)
    assert [line.sure for line in got.lines] == [False, False]
    assert doubts_of(got)[0] == f"Store, Receipt number, Date, Lines, Tax, Total: {why}"


@pytest.mark.parametrize(
    ("row", "word", "why"),
    [
        ("RETURN", "RETURN", "money that came back"),
        ("Customer returned 1 item", "returned", "money that came back"),
        ("CREDIT SLIP", "CREDIT SLIP", "money that came back"),
        ("RETURN BELT 12.50 within 30 days", "RETURN", "money that came back"),
        ("REFUNO", "REFUNO", "money that came back"),
        ("** VOID **", "VOID", "canceled"),
        ("V0ID", "VoID", "canceled"),
        ("* V O I D *", "VOID", "canceled"),
        ("TRANSACTION CANCELLED", "CANCELLED", "canceled"),
        ("QUOTE 88", "QUOTE", "a price that was asked for"),
        ("Quotation valid 30 days", "Quotation", "a price that was asked for"),
        ("ESTIMATE", "ESTIMATE", "a price that was asked for"),
        ("THIS IS NOT A RECEIPT", "NOT A RECEIPT", "a price that was asked for"),
        ("PACKING SLIP", "PACKING SLIP", "a list of goods"),
        ("LAYAWAY 30812", "LAYAWAY", "not paid yet"),
        ("LAY-AWAY", "LAY AWAY", "not paid yet"),
        ("SALES ORDER 30812", "SALES ORDER", "not paid yet"),
        ("PAY AT PICKUP", "PAY AT PICKUP", "not paid yet"),
        ("WORK ORDER 5521", "WORK ORDER", "not paid yet"),
        ("DOWN PAYMENT", "DOWN PAYMENT", "not paid yet"),
        ("*** REPRINT ***", "REPRINT", "a second print"),
        ("DUPLICATE", "DUPLICATE", "a second print"),
        ("COPY OF RECEIPT", "COPY OF RECEIPT", "a second print"),
    ],
)
def test_each_word_is_told_with_what_it_may_mean(row: str, word: str, why: str) -> None:
    got = _read(SALE[0], row, *SALE[1:])
    assert not got.trusted
    assert got.says["total"].startswith(f"The paper says “{word}”: ")
    assert why in got.says["total"]


@pytest.mark.parametrize(
    "row",
    [
        "Returns within 30 days with receipt",
        "NO REFUNDS ON ELECTRICAL PARTS",
        "All returns need this receipt",
        "Ask for our return policy",
        "Coupon void where prohibited",
        "CUSTOMER COPY",
        "STORE CREDIT 20.00",
        "Avoid skin contact",
    ],
)
def test_what_stores_print_below_every_sale_doubts_nothing(row: str) -> None:
    assert no_purchase([Row(row, 0.99)]) == ""


@pytest.mark.parametrize("paper", OTHERS, ids=lambda paper: str(paper["says"][1]))
def test_no_drawn_paper_of_another_kind_is_trusted(paper: dict[str, Any]) -> None:
    got = _read(*_printed(paper))
    assert not got.trusted
    assert "The paper says “" in got.says["total"]
    data: dict[str, str] = {}
    doubted = fill(data, got, 40)
    assert {name for name in FIELDS if data.get(name)} <= set(doubted)
    assert {name for name in data if name.endswith("-amount")} <= set(doubted)


def test_no_drawn_purchase_is_taken_for_another_kind() -> None:
    assert [
        paper["name"] for paper in PURCHASES if no_purchase([Row(row, 0.99) for row in _printed(paper)])
    ] == []


@pytest.mark.parametrize("paper", OTHERS[:4], ids=lambda paper: str(paper["says"][1]))
def test_the_word_is_read_off_the_picture(paper: dict[str, Any]) -> None:
    got = read(rows_of_print(boxes_of(draw(paper))), TODAY)
    assert not got.trusted
    assert "The paper says “" in got.says["total"]
