"""Proves that the database still refuses what the migrations told it to refuse."""

import re
from collections.abc import Iterator
from typing import Any

from django.db import connection

from fund.dbguard import every_guard, function_of, trigger_name

# Of PostgreSQL's triggers only those that fire for everybody: one for replicas only ("R") guards nothing here.
_TRIGGERS = {
    "sqlite": "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname, pg_get_triggerdef(oid, true) FROM pg_trigger"
    " WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')",
}
_FUNCTIONS = (
    "SELECT proname, prosrc FROM pg_proc WHERE prorettype = 'trigger'::regtype"
    " AND pronamespace = current_schema()::regnamespace"
)
_EVENTS = re.compile(r"(CREATE TRIGGER \w+ BEFORE) (.+?) (ON \w+ FOR EACH .+)")


def guard_breaks() -> Iterator[str]:
    """Every trigger that a migration of any app made is in place, switched on and as it was made.

    On PostgreSQL its function too: a trigger that calls an emptied function refuses nothing.
    """
    with connection.cursor() as cursor:
        wanted = [sql for guard in every_guard() for sql in guard.statements(connection, cursor)]
        triggers = _rows(cursor, _TRIGGERS[connection.vendor])
        functions = _rows(cursor, _FUNCTIONS) if connection.vendor == "postgresql" else {}
    for sql in wanted:
        if name := trigger_name(sql):
            yield from _break_of(name, triggers.get(name), sql, connection.vendor == "postgresql")
        elif made := function_of(sql):
            name, body = made
            if functions.get(name) != body:
                yield f"The function “{name}” of a database guard is not the one that belongs there."


def _break_of(name: str, present: str | None, wanted: str, plainly: bool) -> Iterator[str]:
    if present is None:
        yield f"The database guard “{name}” is missing: what is written is not protected."
    elif (plain(present) != plain(wanted)) if plainly else (present != wanted):
        yield f"The database guard “{name}” is not the one that belongs there: what is written is not protected."


def plain(sql: str) -> str:
    """A PostgreSQL trigger without the freedoms of its writing: quotes, the order of its events and of their columns."""
    bare = sql.replace('"', "")
    found = _EVENTS.fullmatch(bare)
    if not found:
        return bare
    events = sorted(
        " ".join(sorted(event.replace(",", " ").split())) for event in re.split(r" OR ", found[2])
    )
    return f"{found[1]} {' OR '.join(events)} {found[3]}"


def _rows(cursor: Any, sql: str) -> dict[str, str]:
    cursor.execute(sql)
    return dict(cursor.fetchall())
