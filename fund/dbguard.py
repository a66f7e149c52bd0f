"""SQL of the guards that keep written rows as they are, for migrations on SQLite and PostgreSQL."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.migrations import RunPython
from django.db.migrations.loader import MigrationLoader


def append_only(table: str, vendor: str, columns: Sequence[str] = ()) -> list[str]:
    """Statements that make the database refuse UPDATE and DELETE (and TRUNCATE) on a table.

    With ``columns`` an update is refused only where it touches one of them; the others hold sealed values, whose
    sealing must be renewed when the key changes and taken away when their time to be kept is over.
    """
    words = f"{table}: what is written stays; add a correcting row instead"
    update = f"UPDATE OF {', '.join(columns)}" if columns else "UPDATE"
    if vendor == "sqlite":
        verbs = {"no_update": update, "no_delete": "DELETE"}
        if columns:
            # A row is moved onto another by its rowid too, which is no column that could be named above.
            verbs["no_move"] = f"UPDATE ON {table} WHEN NEW.rowid <> OLD.rowid"
        return [
            f"CREATE TRIGGER {table}_{name} BEFORE {verb if ' ON ' in verb else f'{verb} ON {table}'} "
            f"BEGIN SELECT RAISE(ABORT, '{words}'); END"
            for name, verb in verbs.items()
        ]
    return [
        f"CREATE FUNCTION {table}_stays() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{words}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
        f"CREATE TRIGGER {table}_no_change BEFORE {update} OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_stays()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_stays()",
    ]


def no_replace(table: str, cursor: Any, stays: str = "") -> str:
    """The trigger that refuses a new row in the place of one that is there; SQLite only.

    INSERT OR REPLACE takes away whatever row stands in its way, by its rowid or any unique index, and asks the guard
    against DELETE only on a connection with recursive_triggers on, which the sqlite3 shell has not. PostgreSQL knows
    only ON CONFLICT DO UPDATE, which is an UPDATE and meets that guard. ``stays`` narrows it to the stored rows for which
    it is true.
    """
    kept = f" AND {stays}" if stays else ""
    taken = [f"EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid{kept})"]
    cursor.execute(f"PRAGMA index_list({table})")
    for name, partial in [(row[1], row[4]) for row in cursor.fetchall() if row[2]]:
        cursor.execute(f"PRAGMA index_info({name})")
        columns = [row[2] for row in cursor.fetchall()]
        same = " AND ".join(f'"{column}" = NEW."{column}"' for column in columns)
        if not partial:
            taken.append(f"EXISTS (SELECT 1 FROM {table} WHERE {same}{kept})")
            continue
        cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'index' AND name = %s", [name])
        where = cursor.fetchone()[0].split(" WHERE ", 1)[1]
        cursor.execute(f"PRAGMA table_info({table})")
        new = ", ".join(f'NEW."{row[1]}" AS "{row[1]}"' for row in cursor.fetchall())
        taken.append(
            f"(EXISTS (SELECT 1 FROM {table} WHERE {same} AND ({where}){kept})"
            f" AND EXISTS (SELECT 1 FROM (SELECT {new}) WHERE {where}))"
        )
    return (
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} BEGIN SELECT RAISE(ABORT, "
        f"'{table}: a row that is written is not replaced') WHERE {' OR '.join(taken)}; END"
    )


@dataclass(frozen=True)
class Guard:
    """What a migration puts around the tables of its app; ``migrations.RunPython`` calls it.

    ``tables`` take new rows only. ``sealed`` names further ones, each with its columns that may still be sealed anew.
    ``own`` are statements of the app for each engine, and ``finished`` names tables whose rows stay once a condition
    holds for them.
    """

    tables: Sequence[str]
    sealed: Mapping[str, Sequence[str]] = field(default_factory=dict)
    own: Mapping[str, Sequence[str]] = field(default_factory=dict)
    finished: Mapping[str, str] = field(default_factory=dict)

    def __call__(self, apps: Any, schema_editor: Any) -> None:
        connection = schema_editor.connection
        with connection.cursor() as cursor:
            for statement in self.statements(connection, cursor):
                cursor.execute(statement)

    def statements(self, connection: Any, cursor: Any) -> Iterator[str]:
        yield from self.own.get(connection.vendor, ())
        for table in (*self.tables, *self.sealed):
            kept: list[str] = []
            if table in self.sealed:
                described = connection.introspection.get_table_description(cursor, table)
                kept = [f'"{column.name}"' for column in described if column.name not in self.sealed[table]]
            yield from append_only(table, connection.vendor, kept)
        if connection.vendor == "sqlite":
            for table in (*self.tables, *self.sealed):
                yield no_replace(table, cursor)
            for table, stays in self.finished.items():
                yield no_replace(table, cursor, stays)


def guard(
    tables: Sequence[str],
    sealed: Mapping[str, Sequence[str]] | None = None,
    own: Mapping[str, Sequence[str]] | None = None,
    finished: Mapping[str, str] | None = None,
) -> Guard:
    """A :class:`Guard` for ``migrations.RunPython``."""
    return Guard(tables, sealed or {}, own or {}, finished or {})


def every_guard() -> list[Guard]:
    """The guards of all apps, read from their migrations: a table that gets one is looked after from then on."""
    migrations = MigrationLoader(None, ignore_no_migrations=True).disk_migrations.values()
    steps = [step for migration in migrations for step in migration.operations if isinstance(step, RunPython)]
    return [step.code for step in steps if isinstance(step.code, Guard)]


def trigger_name(statement: str) -> str | None:
    """The name of the trigger that a statement makes, if it makes one."""
    found = re.match(r"CREATE TRIGGER (\w+) ", statement)
    return found[1] if found else None


def function_of(statement: str) -> tuple[str, str] | None:
    """The name and the body of the PostgreSQL function that a statement makes, if it makes one."""
    found = re.match(r"CREATE FUNCTION (\w+)\(\) .*?\$\$(.*)\$\$", statement, re.S)
    return (found[1], found[2]) if found else None
