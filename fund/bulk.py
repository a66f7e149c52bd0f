"""Many rows at once, past the cost of one model object each: for imports of thousands of rows, not for daily work."""

import json
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db import connection, models
from django.db.models.expressions import RawSQL

LONG = 50


def insert_rows(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows of plain values, every column of the model but its own id named in ``names``.

    Amounts are whole minor units and days come from :func:`day_value`. The database's constraints, triggers and
    indexes hold as for any insert.
    """
    quote = connection.ops.quote_name
    column_of = {field.name: str(field.column) for field in model._meta.concrete_fields}
    column_of |= {field.attname: str(field.column) for field in model._meta.concrete_fields}
    columns = ", ".join(quote(column_of[name]) for name in names)
    marks = ", ".join(["%s"] * len(names))
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO {quote(model._meta.db_table)} ({columns}) VALUES ({marks})", list(rows)
        )


def day_value(day: date) -> Any:
    """A day as the database takes it."""
    return connection.ops.adapt_datefield_value(day)


def among(values: Sequence[str]) -> Any:
    """For ``field__in``: any number of texts, sent as one parameter when there are many."""
    if len(values) < LONG:
        return list(values)
    if connection.vendor == "postgresql":
        return RawSQL("SELECT unnest(%s::text[])", [list(values)])
    return RawSQL("SELECT value FROM json_each(%s)", [json.dumps(list(values))])
