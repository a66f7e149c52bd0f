"""A statement of account beside the papers: numbers first, then equal amounts on near days. Pure."""

from datetime import date

import pytest

from fund.money import Money
from fund.receipts.rules_statement import Held, Stated, compare, plain, rows_of_statement, sum_refusal
from fund.receipts.telling_statement import unexplained
from fund.refusal import BadInput
from tests.fund.receipts.makers import m

THIRD, FIFTH = date(2026, 3, 3), date(2026, 3, 5)
HELD = [Held("R-00001", "4471", THIRD, m("172.40")), Held("R-00002", "", FIFTH, m("200.00"))]


def test_rows_are_read_as_number_day_and_amount_in_any_shape() -> None:
    text = "4471 2026-03-03 172.40\n\n  2026-03-05 $1,200.00\nINV 7 -37.60\n12.00"
    assert rows_of_statement(text) == [
        Stated("4471", THIRD, m("172.40")),
        Stated("", FIFTH, m("1200.00")),
        Stated("INV 7", None, m("-37.60")),
        Stated("", None, m("12.00")),
    ]


@pytest.mark.parametrize("row", ["4471 2026-03-03", "hello", "4471 12,50"])
def test_a_row_without_an_amount_is_refused_with_its_place(row: str) -> None:
    with pytest.raises(BadInput, match="Row 2, .* write the amount at its end"):
        rows_of_statement(f"4470 1.00\n{row}")


def test_numbers_are_one_whatever_their_marks_and_zeros() -> None:
    assert plain("INV-00447 1") == plain("inv4471")
    assert plain("0012-A") == "12a"
    assert plain("--") == ""


def test_rows_that_are_not_the_statement_are_sent_back() -> None:
    rows = rows_of_statement("4471 172.40\n4502 200.00")
    assert sum_refusal(m("372.40"), rows) == sum_refusal(m("410.00"), []) == ""
    assert "The rows add up to 372.40, the statement says 410.00: 37.60 apart." in sum_refusal(
        m("410.00"), rows
    )


def test_the_row_without_a_paper_is_the_missing_one() -> None:
    rows = rows_of_statement("04471 2026-03-03 172.40\n2026-03-06 200.00\n4519 2026-03-09 37.60")
    found = compare(m("410.00"), rows, HELD)
    assert [paper.code for _, paper in found.same] == ["R-00001", "R-00002"]
    assert found.only_there == (Stated("4519", date(2026, 3, 9), m("37.60")),)
    assert (found.papers, found.matched, found.apart) == (m("372.40"), m("372.40"), m("37.60"))
    assert unexplained(found) == [
        "Find the missing 37.60 before it is paid: the papers here add up to 372.40.",
        "On the statement, no paper here: no. 4519 of 2026-03-09 37.60.",
    ]


def test_one_number_with_two_amounts_differs_and_is_not_paid_as_agreed() -> None:
    found = compare(m("174.20"), rows_of_statement("4471 174.20"), HELD)
    assert (len(found.same), len(found.differ), found.matched) == (0, 1, Money.zero)
    assert unexplained(found)[1:] == [
        "R-00001: the statement says 174.20, the paper 172.40.",
        "R-00002 of 2026-03-05, 200.00, is not on the statement.",
    ]


def test_the_same_amount_far_apart_in_days_is_not_the_same_purchase() -> None:
    found = compare(m("200.00"), rows_of_statement("2026-01-02 200.00"), HELD[1:])
    assert (found.same, len(found.only_there), len(found.only_here)) == ((), 1, 1)


def test_a_row_is_used_once() -> None:
    two = [Held("R-00001", "", THIRD, m("20.00")), Held("R-00002", "", THIRD, m("20.00"))]
    found = compare(m("20.00"), rows_of_statement("2026-03-03 20.00"), two)
    assert (len(found.same), [paper.code for paper in found.only_here]) == (1, ["R-00002"])


def test_without_rows_only_equal_sums_agree() -> None:
    agreed = compare(m("372.40"), [], HELD)
    assert (agreed.matched, unexplained(agreed)) == (m("372.40"), [])
    apart = compare(m("410.00"), [], HELD)
    assert (apart.matched, apart.apart, len(apart.only_here)) == (Money.zero, m("37.60"), 2)
    assert unexplained(apart) == [
        "Find the missing 37.60 before it is paid: the papers here add up to 372.40."
    ]
    less = compare(m("300.00"), [], HELD)
    assert unexplained(less) == ["The papers here are 72.40 more than the statement: 372.40."]
