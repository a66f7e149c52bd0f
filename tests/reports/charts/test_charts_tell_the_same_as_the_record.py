import re
from typing import Any
from xml.etree import ElementTree

import pytest

from fund.money import Money
from reports.charts.draw import svg
from reports.charts.rules import Chart, charts, month_name, month_short
from reports.charts.style import DARK, LIGHT, SCHEMES, Scheme


def record(months: int = 3, **changes: Any) -> dict[str, Any]:
    history = [
        {
            "month": f"2026-0{number}",
            "money_in": 1000_00 * number,
            "money_out": 700_00,
            "closing": 5000_00 + number,
            "restricted": 124_58,
            "bank": 4000_00,
            "hours_tenths": 91,
            "hours_value": 1001_00,
        }
        for number in range(1, months + 1)
    ]
    return {
        "month": history[-1]["month"],
        "history": history,
        "money_out": [
            {"key": "5000", "label": "Parts for repairs", "amount": 525_00},
            {"key": "5300", "label": "Payment fees", "amount": 175_00},
        ],
        "dollar": [
            {"key": "5000", "label": "Parts for repairs", "cents": 75},
            {"key": "5300", "label": "Payment fees", "cents": 25},
        ],
        **changes,
    }


def _figures(chart: Chart) -> list[int]:
    return [cell.minor for row in chart.rows for cell in row if isinstance(cell, Money)]


def test_every_value_drawn_stands_in_the_data_table() -> None:
    money, balance, dollar, hours = charts(record())
    for chart in (money, balance):
        drawn = {value for series in chart.series for value in series.values}
        assert drawn <= set(_figures(chart))
    assert [row[2] for row in dollar.rows] == ["75", "25"]
    assert [row[1] for row in hours.rows] == ["9.1", "9.1", "9.1"]


def test_the_two_parts_of_a_balance_make_the_whole() -> None:
    balance = charts(record())[1]
    for _, free, stated, together, _ in balance.rows:
        assert isinstance(free, Money)
        assert isinstance(stated, Money)
        assert free + stated == together


def test_alt_text_says_the_figures_of_the_month_in_words() -> None:
    money, balance, dollar, hours = charts(record())
    assert "In March 2026, $3,000.00 came in and $700.00 went out." in money.alt
    assert "$124.58 of it for a stated purpose" in balance.alt
    assert "75 cents for parts for repairs, 25 cents for payment fees. Together 100 cents." in dollar.alt
    assert "they gave 9.1 hours" in hours.alt


@pytest.mark.parametrize("scheme", SCHEMES.values(), ids=["light", "dark"])
@pytest.mark.parametrize("place", range(4))
def test_the_same_chart_gives_the_same_bytes_and_holds_no_date(place: int, scheme: Scheme) -> None:
    chart = charts(record())[place]
    first = svg(chart, scheme)
    assert first == svg(chart, scheme)
    assert b"dc:date" not in first
    root = ElementTree.fromstring(first)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert chart.title.encode() in first


def test_a_first_month_and_a_month_without_spending_can_be_drawn() -> None:
    alone = record(1, money_out=[], dollar=[])
    drawn = charts(alone)
    assert drawn[2].alt == "Nothing was spent in January 2026."
    assert drawn[0].alt.startswith("Two bars in January 2026")
    assert all(svg(chart, LIGHT) for chart in drawn)


def test_months_below_zero_can_be_drawn() -> None:
    below = record()
    for line in below["history"]:
        line["closing"], line["bank"], line["hours_tenths"] = -50_00, -80_00, 0
    assert all(svg(chart, LIGHT) for chart in charts(below))


def test_a_dollar_sign_and_a_name_with_markup_are_plain_text() -> None:
    odd = record()
    odd["dollar"][0]["label"] = "Parts $5 <b> $6 & more"
    ElementTree.fromstring(svg(charts(odd)[2], LIGHT))


def test_months_are_named_as_people_name_them() -> None:
    assert month_name("2026-03") == "March 2026"
    assert [month_short(key) for key in ("2025-12", "2026-01")] == ["Dec", "Jan\n2026"]


def _luminance(color: str) -> float:
    channels = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_the_known_figures() -> None:
    # W3C, WCAG 2.2, definition of contrast ratio; known values on white: #767676 passes 4.5:1, #777777 does not.
    assert round(contrast("#767676", "#ffffff"), 3) == 4.542
    assert round(contrast("#777777", "#ffffff"), 3) == 4.478


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
def test_marks_and_words_stand_out_from_the_ground(scheme: Scheme) -> None:
    # WCAG 2.2, 1.4.11: 3:1 for graphics; 1.4.3: 4.5:1 for text.
    for mark in (scheme.first, scheme.second, scheme.third):
        assert contrast(mark, scheme.ground) >= 3
    for words in (scheme.ink, scheme.soft):
        assert contrast(words, scheme.ground) >= 4.5


def test_the_grounds_are_those_of_the_style_sheet() -> None:
    from django.conf import settings

    css = (settings.BASE_DIR / "config" / "static" / "css" / "book.css").read_text()
    assert re.findall(r"--sheet: (#\w+);", css)[:2] == [LIGHT.ground, DARK.ground]
