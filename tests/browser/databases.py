"""Scratch databases of the engine that the suite runs on: empty ones, and copies of one that was filled once."""

import contextlib
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path

import psycopg
from django.conf import settings
from psycopg import sql

BASE = settings.DATABASES["default"]
ON_POSTGRES = "postgresql" in BASE["ENGINE"]
FILE = "books.sqlite3"


@contextlib.contextmanager
def scratch_database(folder: Path, copied_from: str | None = None) -> Iterator[str]:
    """The URL of a database of its own, dropped at the end.

    ``copied_from`` is the URL of another one, which nothing may be connected to at that moment.
    """
    if not ON_POSTGRES:
        if copied_from:
            shutil.copy(copied_from.removeprefix("sqlite:///"), folder / FILE)
        yield f"sqlite:///{folder / FILE}"
        return
    name = f"browser_{secrets.token_hex(6)}"
    model = copied_from.rsplit("/", 1)[1] if copied_from else "template0"
    place = {"host": BASE["HOST"], "port": BASE["PORT"], "user": BASE["USER"], "password": BASE["PASSWORD"]}
    with psycopg.connect(dbname="postgres", autocommit=True, **place) as connection:
        make = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
        connection.execute(make.format(sql.Identifier(name), sql.Identifier(model)))
        try:
            login = BASE["USER"] + (f":{BASE['PASSWORD']}" if BASE["PASSWORD"] else "")
            yield f"postgres://{login}@{BASE['HOST']}:{BASE['PORT']}/{name}"
        finally:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))
