"""The values of a table for a file, column by column.

django-tables2 looks at the signature of a column's function again for every cell; over a hundred thousand rows that is
minutes. Here each column is looked at once.
"""

from collections.abc import Callable, Sequence
from typing import Any

import django_tables2 as tables
from django.core.exceptions import FieldDoesNotExist
from django.db.models import Model
from django_tables2.rows import BoundRow
from django_tables2.utils import Accessor, signature

Reader = Callable[[Any], Any]


def readers(table: tables.Table, columns: Sequence[Any]) -> list[Reader]:
    """For each bound column a function from a record to the value that goes into a file (None for an empty cell)."""
    return [_reader(table, column) for column in columns]


def _reader(table: tables.Table, column: Any) -> Reader:
    resolve, value_of, empty = _resolver(column), _value_of(table, column), column.column.empty_values

    def read(record: Any) -> Any:
        found = resolve(record)
        return None if found in empty else value_of(found, record)

    return read


def _resolver(column: Any) -> Reader:
    accessor = Accessor(column.accessor)
    bits = accessor.split(Accessor.SEPARATOR)

    def resolve(record: Any) -> Any:
        if isinstance(record, dict):
            return accessor.resolve(record, quiet=True)
        here = record
        try:
            for bit in bits[:-1]:
                here = getattr(here, bit)
            if isinstance(here, Model) and _has_choices(type(here), bits[-1]):
                return getattr(here, f"get_{bits[-1]}_display")()
            found = getattr(here, bits[-1])
        except AttributeError:
            return accessor.resolve(record, quiet=True)
        return found() if callable(found) else found

    return resolve


_choices: dict[tuple[type[Model], str], bool] = {}


def _has_choices(model: type[Model], name: str) -> bool:
    key = (model, name)
    if key not in _choices:
        try:
            _choices[key] = bool(getattr(model._meta.get_field(name), "choices", None))
        except FieldDoesNotExist:
            _choices[key] = False
    return _choices[key]


def _value_of(table: tables.Table, column: Any) -> Callable[[Any, Any], Any]:
    """The column's own value function (``value_<name>``, ``render_<name>``, ``value``), given only what it asks for."""
    made = column.value
    plain = (
        type(column.column).value is tables.Column.value
        and type(column.column).render is tables.Column.render
    )
    if plain and getattr(made, "__self__", None) is column.column:
        return lambda value, record: str(value)
    names, takes_all = signature(made)

    def value_of(value: Any, record: Any) -> Any:
        given = {
            "value": value,
            "record": record,
            "column": column.column,
            "bound_column": column,
            "table": table,
        }
        if takes_all or "bound_row" in names:
            given["bound_row"] = BoundRow(record, table)
        return made(**(given if takes_all else {name: given[name] for name in names}))

    return value_of
