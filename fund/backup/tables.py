"""The tables that a backup holds, and the way from their rows to text and back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models

from fund.backup.rules import row_text, row_values

# Kept by Django for itself and made anew by `migrate`, or of no worth tomorrow (sessions, failed sign-ins).
OWN = frozenset({"contenttypes", "sessions", "axes"})
OWN_TABLES = frozenset({"auth_permission", "auth_group_permissions"})
# Lines come before their entry and months last, for the guards let nothing into an entry or a month that is finished.
ORDER = {"fund_line": 0, "fund_entry": 1, "fund_month": 3}
BATCH = 500
ADAPTERS = {
    "DateField": "adapt_datefield_value",
    "DateTimeField": "adapt_datetimefield_value",
    "TimeField": "adapt_timefield_value",
}


@dataclass(frozen=True, slots=True)
class Stored:
    """A table of the database. ``kinds`` are Django's names of the kinds of its columns."""

    model: type[models.Model]
    name: str
    key: str
    columns: list[str]
    kinds: list[str]


def stored_tables() -> list[Stored]:
    found = [
        _stored(model)
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model._meta.app_label not in OWN
        and model._meta.db_table not in OWN_TABLES
    ]
    return sorted(found, key=lambda table: (ORDER.get(table.name, 2), table.name))


def _stored(model: type[models.Model]) -> Stored:
    fields = model._meta.concrete_fields
    key = model._meta.pk
    return Stored(
        model,
        model._meta.db_table,
        str(key.column) if key else "",
        [str(f.column) for f in fields],
        [_kind(f) for f in fields],
    )


def _kind(field: Any) -> str:
    while field.remote_field is not None:
        field = field.target_field
    return str(field.get_internal_type())


def table_lines(table: Stored) -> Iterator[str]:
    """Each row as text, by its key. Values are taken as they lie in the table: sealed ones stay sealed."""
    quote = connection.ops.quote_name
    with connection.chunked_cursor() as cursor:
        names = ", ".join(quote(column) for column in table.columns)
        cursor.execute(f"SELECT {names} FROM {quote(table.name)} ORDER BY {quote(table.key)}")
        while rows := cursor.fetchmany(BATCH):
            for row in rows:
                yield row_text(row, table.kinds)


def count_rows(table: Stored) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table.name)}")
        return int(cursor.fetchone()[0])


def fill(table: Stored, columns: list[str], lines: Iterable[str]) -> int:
    """Insert the rows; how many there were. The guards of the database look at each of them."""
    kinds = dict(zip(table.columns, table.kinds, strict=True))
    ours = [kinds[column] for column in columns]
    quote = connection.ops.quote_name
    places = ", ".join(["%s"] * len(columns))
    names = ", ".join(quote(column) for column in columns)
    insert = f"INSERT INTO {quote(table.name)} ({names}) VALUES ({places})"
    done = 0
    with connection.cursor() as cursor:
        left = iter(lines)
        while batch := list(islice(left, BATCH)):
            cursor.executemany(insert, [_adapted(row_values(line, ours), ours) for line in batch])
            done += len(batch)
    return done


def _adapted(values: list[Any], kinds: list[str]) -> list[Any]:
    return [
        value if value is None or kind not in ADAPTERS else getattr(connection.ops, ADAPTERS[kind])(value)
        for value, kind in zip(values, kinds, strict=True)
    ]


def count_on(tables: list[Stored]) -> None:
    """Let numbers that the database gives go on after the highest one there is."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [table.model for table in tables]):
            cursor.execute(statement)
