"""The income tables as published, at every size and day."""

from datetime import date

import pytest

from fund.money import Money, parse_money
from fund.refusal import BadInput, NotReady
from jobs.eligibility.models import GuidelineTable
from jobs.eligibility.queries import guideline_for
from jobs.eligibility.rules import assess, table_in_use
from jobs.households.rules import IncomeFacts

pytestmark = pytest.mark.django_db

# US Department of Health and Human Services, "Annual Update of the HHS Poverty Guidelines", Federal Register of
# January 19, 2023 (FR Doc. 2023-00885), January 17, 2024, January 17, 2025 (FR Doc. 2025-01377) and
# January 15, 2026 (FR Doc. 2026-00755). Dollars a year for sizes 1 to 8, then for each person more; compared with
# the open parameter file of PolicyEngine (policyengine-us, parameters/gov/hhs/fpg.yaml).
PUBLISHED = {
    ("contiguous", 2023): (14580, 19720, 24860, 30000, 35140, 40280, 45420, 50560, 5140),
    ("contiguous", 2024): (15060, 20440, 25820, 31200, 36580, 41960, 47340, 52720, 5380),
    ("contiguous", 2025): (15650, 21150, 26650, 32150, 37650, 43150, 48650, 54150, 5500),
    ("contiguous", 2026): (15960, 21640, 27320, 33000, 38680, 44360, 50040, 55720, 5680),
    ("alaska", 2023): (18210, 24640, 31070, 37500, 43930, 50360, 56790, 63220, 6430),
    ("alaska", 2024): (18810, 25540, 32270, 39000, 45730, 52460, 59190, 65920, 6730),
    ("alaska", 2025): (19550, 26430, 33310, 40190, 47070, 53950, 60830, 67710, 6880),
    ("alaska", 2026): (19950, 27050, 34150, 41250, 48350, 55450, 62550, 69650, 7100),
    ("hawaii", 2023): (16770, 22680, 28590, 34500, 40410, 46320, 52230, 58140, 5910),
    ("hawaii", 2024): (17310, 23500, 29690, 35880, 42070, 48260, 54450, 60640, 6190),
    ("hawaii", 2025): (17990, 24320, 30650, 36980, 43310, 49640, 55970, 62300, 6330),
    ("hawaii", 2026): (18360, 24890, 31420, 37950, 44480, 51010, 57540, 64070, 6530),
}
# "For families/households with more than 8 persons, add ..." for each additional person: sizes 9 and 10 by hand.
OVER_EIGHT = {
    ("contiguous", 2023): (55700, 60840),
    ("contiguous", 2024): (58100, 63480),
    ("contiguous", 2025): (59650, 65150),
    ("contiguous", 2026): (61400, 67080),
    ("alaska", 2023): (69650, 76080),
    ("alaska", 2024): (72650, 79380),
    ("alaska", 2025): (74590, 81470),
    ("alaska", 2026): (76750, 83850),
    ("hawaii", 2023): (64050, 69960),
    ("hawaii", 2024): (66830, 73020),
    ("hawaii", 2025): (68630, 74960),
    ("hawaii", 2026): (70600, 77130),
}


@pytest.mark.parametrize(("area", "year"), PUBLISHED)
def test_sizes_one_to_ten_are_as_published(area: str, year: int) -> None:
    expected = [*PUBLISHED[area, year][:8], *OVER_EIGHT[area, year]]
    found = [guideline_for(area, size, date(year, 6, 30)) for size in range(1, 11)]
    assert found == [Money(dollars * 100) for dollars in expected]


def test_each_table_names_its_year_and_source() -> None:
    for row in GuidelineTable.objects.all():
        assert "HHS Poverty Guidelines, Federal Register" in row.source
        assert str(row.year) in row.source


def test_a_table_is_in_use_from_its_own_day() -> None:
    # 2026 notice: "Effective Date: January 13, 2026".
    assert guideline_for("contiguous", 1, date(2026, 1, 12)) == Money(1_565_000)
    assert guideline_for("contiguous", 1, date(2026, 1, 13)) == Money(1_596_000)


def test_before_the_first_table_there_is_no_answer() -> None:
    with pytest.raises(NotReady, match="No income table for Alaska is in use on January 2, 2023"):
        guideline_for("alaska", 3, date(2023, 1, 2))


@pytest.mark.parametrize("size", [0, -1, 31])
def test_a_size_that_cannot_be_is_refused(size: int) -> None:
    with pytest.raises(BadInput, match="from 1 to 30 people"):
        guideline_for("contiguous", size, date(2026, 3, 1))


# Lines worked out by hand from the published tables: guideline x percent / 100.
@pytest.mark.parametrize(
    ("area", "day", "size", "percent", "line"),
    [
        ("contiguous", date(2026, 3, 1), 3, 200, "54640.00"),
        ("contiguous", date(2026, 3, 1), 9, 100, "61400.00"),
        ("hawaii", date(2025, 3, 1), 10, 100, "74960.00"),
        ("alaska", date(2026, 3, 1), 8, 150, "104475.00"),
        ("contiguous", date(2026, 3, 1), 1, 185, "29526.00"),
        ("contiguous", date(2026, 3, 1), 7, 125, "62550.00"),
        ("contiguous", date(2026, 3, 1), 5, 185, "71558.00"),
    ],
)
def test_exactly_at_the_line_is_within_and_a_cent_over_is_not(
    area: str, day: date, size: int, percent: int, line: str
) -> None:
    tables = [row.table for row in GuidelineTable.objects.all()]
    table = table_in_use(tables, area, day)
    at = IncomeFacts(kind="other", period="yearly", amount=parse_money(line))
    over = IncomeFacts(kind="other", period="yearly", amount=at.amount + Money(1))
    assert assess([at], size, table, percent).within
    assert assess([at], size, table, percent).limit == at.amount.minor
    assert not assess([over], size, table, percent).within


# HHS poverty guidelines 2026 (Federal Register, January 15, 2026): sizes 1 to 8 as printed; 9 and 10 with the amount
# for each further person (5,680; 7,100; 6,530). Yearly dollars, 100%.
SIZES_2026 = {
    "contiguous": (15960, 21640, 27320, 33000, 38680, 44360, 50040, 55720, 61400, 67080),
    "alaska": (19950, 27050, 34150, 41250, 48350, 55450, 62550, 69650, 76750, 83850),
    "hawaii": (18360, 24890, 31420, 37950, 44480, 51010, 57540, 64070, 70600, 77130),
}


@pytest.mark.parametrize("percent", [100, 125, 200])
@pytest.mark.parametrize("size", range(1, 11))
@pytest.mark.parametrize("area", SIZES_2026)
def test_every_size_in_every_area_turns_at_the_cent(area: str, size: int, percent: int) -> None:
    table = table_in_use([row.table for row in GuidelineTable.objects.all()], area, date(2026, 3, 1))
    line = Money(SIZES_2026[area][size - 1] * percent)  # dollars x percent = cents of the line
    at = IncomeFacts(kind="other", period="yearly", amount=line)
    over = IncomeFacts(kind="other", period="yearly", amount=line + Money(1))
    assert assess([at], size, table, percent).within
    assert not assess([over], size, table, percent).within
