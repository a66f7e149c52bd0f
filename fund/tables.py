"""Lists: one class for the page and for the file, with search, sort, paging and download of exactly what is shown."""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.core.paginator import EmptyPage
from django.db.models import QuerySet
from django.db.models.query import ModelIterable
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django_tables2.data import TableData
from django_tables2.utils import A

from fund.downloads import csv_response, xlsx_response
from fund.filters import BookFilterSet
from fund.money import Money
from fund.tables_values import readers
from fund.templatetags.money import hours, money, quantity

PER_PAGE = 50
__all__ = [
    "A",
    "BookTable",
    "CodeColumn",
    "DayColumn",
    "HoursColumn",
    "MomentColumn",
    "MoneyColumn",
    "NumberColumn",
    "QuantityColumn",
    "book_list",
]


class MoneyColumn(tables.Column):
    """An amount, aligned on its point; a number in files. ``zero=False`` leaves nothing in the cell for 0.00."""

    css = "money"

    def __init__(self, *args: Any, zero: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zero = zero

    def render(self, value: Money) -> str:
        return money(value) if value or self.zero else ""

    def value(self, value: Money) -> Money | None:
        return value


class DayColumn(tables.Column):
    """A day as 2026-03-15 on the page, a date in files."""

    css = "keep"

    def render(self, value: Any) -> str:
        return f"{value:%Y-%m-%d}"

    def value(self, value: Any) -> Any:
        return value


class MomentColumn(tables.DateTimeColumn):
    css = "keep"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, format="Y-m-d H:i", **kwargs)

    def value(self, value: Any) -> Any:
        return value


class HoursColumn(tables.Column):
    """Tenths of an hour, shown and saved as hours."""

    css = "number"

    def render(self, value: int) -> str:
        return hours(value)

    def value(self, value: int) -> Any:
        return Decimal(value).scaleb(-1)


class QuantityColumn(tables.Column):
    """Hundredths of a unit, shown and saved as units."""

    css = "number"

    def render(self, value: int) -> str:
        return quantity(value)

    def value(self, value: int) -> Any:
        return Decimal(value).scaleb(-2)


class NumberColumn(tables.Column):
    css = "number"

    def value(self, value: Any) -> Any:
        return value


class CodeColumn(NumberColumn):
    """A number that is a name, like an entry's: whole in files, set like text on the page."""

    css = "keep"


class BookTable(tables.Table):
    """Base of every list. Sorts where the column says so; restacks as cards on a phone.

    ``region_label`` names the table for a screen reader, ``caption`` is written above it, ``empty_words`` stands in its
    place when there are no rows. Text columns come out as
    text; use the columns above for amounts, days, hours and counts, so that files hold real numbers and dates.
    """

    region_label = "List"
    caption = ""
    sortable_here = True

    empty_words = "Nothing is written here yet."

    class Meta:
        """Base of the Meta of each list, so that a list may add to it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("default", "")
        kwargs.setdefault("empty_text", self.empty_words)
        kwargs.setdefault("template_name", "partials/table.html")
        super().__init__(*args, **kwargs)


def book_list(
    request: HttpRequest,
    table_class: type[BookTable],
    queryset: QuerySet[Any, Any] | Sequence[Any] | TableData,
    filterset_class: type[BookFilterSet] | None = None,
    template: str = "partials/list.html",
    context: dict[str, Any] | None = None,
    *,
    filename: str = "list",
    per_page: int = PER_PAGE,
    table_kwargs: dict[str, Any] | None = None,
) -> HttpResponseBase:
    """The page of a list, or with ``?format=csv`` or ``?format=xlsx`` all its rows, filtered and sorted alike, as a file.

    ``queryset`` may be a plain list of dataclasses or dicts if there is no filter set. The template gets ``table``,
    ``filter``, ``downloads`` and ``shown`` and normally extends ``partials/list.html`` (or includes
    ``partials/book_list.html``).
    """
    filterset = filterset_class(request.GET, queryset=queryset, request=request) if filterset_class else None
    table = table_class(data=filterset.qs if filterset else queryset, **(table_kwargs or {}))
    tables.RequestConfig(request, paginate=False).configure(table)
    _settle(table)
    if request.GET.get("format") in ("csv", "xlsx"):
        make = csv_response if request.GET["format"] == "csv" else xlsx_response
        columns = [column for column in table.columns if not column.column.exclude_from_export]
        return make(filename, [str(column.header) for column in columns], _values(table, columns))
    _turn_to_page(table, request.GET.get(table.prefixed_page_field, "1"), per_page)
    own = {"page", "sort", "format"}
    words = {
        "table": table,
        "filter": filterset,
        "downloads": _downloads(request),
        "shown": _shown(table),
        "sort": request.GET.get("sort", ""),
        "searching": any(value for name, value in request.GET.items() if name not in own),
    }
    return render(request, template, {**words, **(context or {})})


def _settle(table: BookTable) -> None:
    """Add the key as the last order, so that equal rows keep their place from one page to the next."""
    rows = getattr(table.data, "data", None)
    if isinstance(rows, QuerySet) and issubclass(rows._iterable_class, ModelIterable):
        order = rows.query.order_by or rows.model._meta.ordering
        table.data.data = rows.order_by(*order, "pk")


def _turn_to_page(table: BookTable, page: str, per_page: int) -> None:
    try:
        table.paginate(page=int(page) if page.isdecimal() else 1, per_page=per_page)
    except EmptyPage:
        table.page = table.paginator.page(table.paginator.num_pages)


def _values(table: BookTable, columns: Sequence[Any]) -> Iterator[list[Any]]:
    rows: Any = table.data.data if table.data.data is not None else table.data
    records: Iterable[Any] = rows.iterator(chunk_size=2000) if isinstance(rows, QuerySet) else rows
    cells = readers(table, columns)
    for record in records:
        yield [read(record) for read in cells]


def _downloads(request: HttpRequest) -> list[dict[str, str]]:
    files = []
    for kind, label in (("csv", "CSV"), ("xlsx", "XLSX")):
        query = request.GET.copy()
        query.pop("page", None)
        query["format"] = kind
        files.append({"label": label, "url": f"{request.path}?{query.urlencode()}"})
    return files


def _shown(table: BookTable) -> str:
    count = table.paginator.count
    if table.paginator.num_pages == 1:
        return f"{count:,} {'row' if count == 1 else 'rows'}"
    return f"Rows {table.page.start_index():,} to {table.page.end_index():,} of {count:,}"
