"""A backup comes back whole, from one engine of database to the other and back again."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from fund.backup.actions import read_backup
from fund.backup.rules import Manifest
from tests.browser.server import run, scratch_database

Environment = dict[str, str]
KEEPS_GROWING = {"fund_trailline"}


@contextmanager
def _fresh(folder: Path, url: str = "", *, migrated: bool = True) -> Iterator[Environment]:
    """The environment of a migrated database without a row; of the suite's engine unless ``url`` says otherwise."""
    import os

    folder.mkdir()
    with scratch_database(folder) as address:
        told = {
            "DATABASE_URL": url or address,
            "MEDIA_ROOT": str(folder / "media"),
            "DJANGO_SETTINGS_MODULE": "tests.settings",
        }
        environment = {**os.environ, **told, "DEBUG": "true"}
        if migrated:
            _manage(environment, "migrate", "--verbosity", "0")
        yield environment


def _manage(environment: Environment, *words: str) -> str:
    return run([sys.executable, "manage.py", *words], environment)


def _content(manifest: Manifest) -> tuple[dict[str, str], int, str]:
    kept = [table for table in manifest.tables if table.name not in KEEPS_GROWING]
    bare = replace(manifest, tables=kept)
    return bare.digests(), manifest.entries, manifest.last_digest


def test_there_and_back_between_the_engines_nothing_is_lost_and_the_books_prove(tmp_path: Path) -> None:
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    sqlite = f"sqlite:///{tmp_path / 'other.sqlite3'}"
    with (
        _fresh(tmp_path / "a") as one,
        _fresh(tmp_path / "b", sqlite) as two,
        _fresh(tmp_path / "c") as three,
    ):
        run([sys.executable, "-m", "tests.house.two_approvers", "prepare"], one)
        _manage(one, "backup", str(first))
        _manage(two, "restore", str(first))
        _manage(two, "backup", str(second))
        told = json.loads(_manage(three, "restore", str(second), "--json"))
        before, after = (json.loads(_manage(place, "check_books", "--json")) for place in (one, three))
    assert told["ok"] is True
    assert _content(read_backup(first)) == _content(read_backup(second))
    assert before["ok"] is True
    assert after == before


def test_a_database_without_tables_is_told_to_make_them_first(tmp_path: Path) -> None:
    kept = tmp_path / "kept.zip"
    with _fresh(tmp_path / "a") as one:
        _manage(one, "backup", str(kept))
    with (
        _fresh(tmp_path / "b", migrated=False) as empty,
        pytest.raises(AssertionError, match="Run `migrate` first, then restore") as told,
    ):
        _manage(empty, "restore", str(kept))
    assert "gave 1:" in str(told.value) and "Traceback" not in str(told.value)
