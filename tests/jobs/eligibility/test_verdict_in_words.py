"""The arithmetic says how far from the line, in words that a household understands."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fund.money import Money, parse_money
from jobs.eligibility.rules import Table, assess, percent_band, sentence
from jobs.eligibility.rules_snapshot import snapshot
from jobs.households.rules import IncomeFacts

# HHS poverty guidelines 2026, 48 states and D.C. (Federal Register, January 15, 2026).
TABLE = Table(
    year=2026,
    area="contiguous",
    sizes=tuple(Money(d * 100) for d in (15960, 21640, 27320, 33000, 38680, 44360, 50040, 55720)),
    each_more=Money(568_000),
    in_use_from=date(2026, 1, 13),
    source="HHS",
)


def yearly(amount: str) -> list[IncomeFacts]:
    return [IncomeFacts(kind="pay", period="yearly", amount=parse_money(amount))]


def test_over_is_told_by_the_month_and_the_size() -> None:
    # 54,640 + 12 x 112 = 55,984
    result = assess(yearly("55984.00"), 3, TABLE, 200)
    assert not result.within
    assert result.sentence == "Over by $112 a month at size 3 ($1,344 a year)."


def test_under_is_told_by_the_month_and_the_size() -> None:
    result = assess(yearly("54000.00"), 3, TABLE, 200)
    assert result.within
    assert result.sentence == "Under the line by $53.33 a month at size 3 ($640 a year)."


def test_at_the_line_and_a_cent_over_are_told_apart() -> None:
    assert assess(yearly("54640.00"), 3, TABLE, 200).sentence == "Exactly at the line at size 3: within it."
    over = assess(yearly("54640.01"), 3, TABLE, 200)
    assert over.sentence == "Over by less than a cent a month at size 3 ($0.01 a year)."


def test_the_published_example_of_too_much_income_is_over_by_360_a_year() -> None:
    # HUD Technical Guide for Determining Income and Allowances (HOME), exhibit 3.5: 38,860 against 38,500.
    assert sentence(Fraction(3_850_000 - 3_886_000), 3) == "Over by $30 a month at size 3 ($360 a year)."


def test_the_month_of_the_line_is_shown_rounded_but_decides_nothing() -> None:
    sheet = assess(yearly("54640.00"), 3, TABLE, 200).worksheet
    assert "27,320.00 × 200 ÷ 100 = 54,640.00 a year, about 4,553.33 a month: the line" in sheet
    twelve_rounded_months = yearly("54639.96")
    assert assess(twelve_rounded_months, 3, TABLE, 200).within


def test_the_worksheet_of_nine_people_shows_the_extra_person() -> None:
    sheet = assess([], 9, TABLE, 100).worksheet
    assert sheet == [
        "No income is recorded: 0.00 a year",
        "2026 guideline, 48 states and D.C., size 8: 55,720.00 + 1 × 5,680.00 = 61,400.00",
        "61,400.00 × 100 ÷ 100 = 61,400.00 a year, about 5,116.67 a month: the line",
        "Under the line by $5,116.66 a month at size 9 ($61,400 a year).",
    ]


@given(
    amount=st.integers(0, 10**9),
    weeks=st.integers(1, 52),
    size=st.integers(1, 12),
    percent=st.integers(50, 400),
)
def test_no_rounding_ever_decides(amount: int, weeks: int, size: int, percent: int) -> None:
    incomes = [IncomeFacts(kind="pay", period="year to date", amount=Money(amount), weeks_so_far=weeks)]
    result = assess(incomes, size, TABLE, percent)
    guideline = 1_596_000 + (size - 1) * 568_000
    # the same comparison in whole numbers only: amount / weeks x 52 x 100 <= guideline x percent
    assert result.within == (amount * 52 * 100 <= guideline * percent * weeks)
    assert result.within == result.sentence.startswith(("Under", "Exactly"))


@pytest.mark.parametrize(
    ("minor", "band"),
    [
        (0, "up to 50% of the guideline"),
        (798_000, "up to 50% of the guideline"),
        (798_001, "50% to 100% of the guideline"),
        (3_192_000, "150% to 200% of the guideline"),
        (3_192_001, "200% to 250% of the guideline"),
        (99_000_000, "over 400% of the guideline"),
    ],
)
def test_an_approver_sees_a_band_and_no_income(minor: int, band: str) -> None:
    assert percent_band(Fraction(minor), Money(1_596_000)) == band


def test_the_snapshot_holds_figures_and_no_name() -> None:
    incomes = [IncomeFacts(kind="pay", period="weekly", amount=Money(40_050), note="from the mill")]
    kept = snapshot(assess(incomes, 1, TABLE, 200), incomes, [{"number": 1}])
    assert kept["annual_income"] == "2082600"
    assert kept["limit"] == "3192000"
    assert kept["gap"] == "1109400"
    assert kept["table_year"] == 2026
    assert "mill" not in str(kept)
