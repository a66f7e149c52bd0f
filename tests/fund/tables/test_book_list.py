"""A list: what the page shows is what the file holds."""

import csv
import io
from decimal import Decimal
from typing import Any

import django_tables2 as tables
import openpyxl
import pytest
from django.contrib.auth.models import AnonymousUser
from django.http.response import HttpResponseBase
from django.test import RequestFactory

from fund.filters import BookFilterSet, DayFilter, WordsFilter
from fund.money import Money
from fund.tables import BookTable, MomentColumn, MoneyColumn, book_list
from fund.trail.actions import record
from fund.trail.models import TrailLine

pytestmark = pytest.mark.django_db


class LineTable(BookTable):
    at = MomentColumn(verbose_name="When")
    subject = tables.Column("Of")
    text = tables.Column("What")
    amount = MoneyColumn(verbose_name="Amount", accessor="id")

    def render_amount(self, record: TrailLine) -> str:
        return str(Money(record.data["minor"]))

    def value_amount(self, record: TrailLine) -> Money:
        return Money(record.data["minor"])


class LineFilter(BookFilterSet):
    words = WordsFilter(columns=["text", "subject"])
    since = DayFilter(field_name="at", lookup_expr="date__gte", label="From")


def write(*texts: str) -> None:
    for at, text in enumerate(texts):
        record(by=None, action="test", subject=f"T-{at:03}", text=text, data={"minor": -at * 150})


def listed(query: str, per_page: int = 50) -> HttpResponseBase:
    request = RequestFactory().get(f"/list/?{query}")
    request.user = AnonymousUser()
    return book_list(
        request,
        LineTable,
        TrailLine.objects.filter(action="test"),
        LineFilter,
        filename="lines",
        per_page=per_page,
    )


def csv_rows(query: str) -> list[dict[str, str]]:
    body: Any = listed(query)
    return list(csv.DictReader(io.StringIO(b"".join(body.streaming_content).decode("utf-8-sig"))))


def page(query: str, per_page: int = 50) -> str:
    response: Any = listed(query, per_page)
    return str(response.content.decode())


def test_every_word_must_be_found_somewhere_in_the_row() -> None:
    write("two brake rotors", "brake fluid", "coolant")
    assert [row["What"] for row in csv_rows("format=csv&words=brake+T-001")] == ["brake fluid"]


def test_the_file_holds_all_pages_with_the_same_filter_and_sort() -> None:
    write(*[f"brake {at}" for at in range(7)], "coolant")
    shown = page("words=brake&sort=subject", per_page=3)
    assert "Rows 1 to 3 of 7" in shown
    assert "/list/?words=brake&amp;sort=subject&amp;format=csv" in shown
    assert [row["Of"] for row in csv_rows("words=brake&sort=subject&format=csv")] == [
        f"T-{n:03}" for n in range(7)
    ]
    assert [row["Of"] for row in csv_rows("words=brake&sort=-subject&format=csv")][0] == "T-006"


def test_no_row_is_lost_or_doubled_over_pages_that_sort_by_equal_values() -> None:
    write(*["the same"] * 10)
    seen = [
        f"T-{n:03}" for at in range(1, 5) for n in range(10) if f"T-{n:03}" in page(f"sort=text&page={at}", 3)
    ]
    assert sorted(seen) == [f"T-{n:03}" for n in range(10)]


def test_a_page_past_the_end_shows_the_last_one() -> None:
    write("one", "two", "three")
    assert "Rows 3 to 3 of 3" in page("page=99", per_page=2)


def test_a_search_that_cannot_be_read_says_so_and_shows_no_rows() -> None:
    write("one")
    shown = page("since=yesterday")
    assert "This is not a date" in shown
    assert 'value="yesterday"' in shown
    assert "T-000" not in shown


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\uff1dHYPERLINK()"])
def test_what_a_person_typed_is_no_formula_in_a_csv_file(text: str) -> None:
    """OWASP, "CSV Injection": a cell must not start with = + - @ tab or return."""
    write(text)
    assert csv_rows("format=csv")[0]["What"] == f"'{text}"


def test_amounts_stay_plain_numbers_in_a_csv_file() -> None:
    write("nothing", "one fifty out")
    assert [row["Amount"] for row in csv_rows("format=csv&sort=subject")] == ["0.00", "-1.50"]


def test_an_xlsx_file_holds_numbers_dates_and_text_as_such() -> None:
    write("plain", "=1+1")
    response: Any = listed("format=xlsx&sort=subject")
    sheet = openpyxl.load_workbook(io.BytesIO(response.getvalue())).active
    response.close()
    assert sheet is not None
    head, first, second = sheet.iter_rows()
    assert [cell.value for cell in head] == ["When", "Of", "What", "Amount"]
    assert sheet.freeze_panes == "A2"
    assert first[0].is_date
    assert (second[2].value, second[2].data_type) == ("=1+1", "s")
    assert (Decimal(str(second[3].value)), second[3].data_type) == (Decimal("-1.5"), "n")
    assert "0.00" in second[3].number_format


def test_an_empty_list_says_so_and_an_empty_search_offers_the_way_back() -> None:
    assert "Nothing is written here yet." in page("")
    assert "Nothing fits this search." in page("words=zebra")


def test_the_number_of_queries_does_not_grow_with_the_list(django_assert_num_queries: Any) -> None:
    for size in (1, 40):
        write(*["row"] * size)
        with django_assert_num_queries(3):  # the count, the rows, the fund's name
            page("")
