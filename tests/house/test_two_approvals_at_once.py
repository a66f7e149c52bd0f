"""Law: no promise without money. Two approvals at once never both pass on money that covers only one.

Two programs, each with its own connection, approve two repairs of 300.00 while 300.00 is free. Runs on a
scratch database of the engine the suite runs on: a file on SQLite, a database of its own on PostgreSQL.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.conf import settings

TOP = Path(__file__).resolve().parents[2]
ON_POSTGRES = "postgresql" in settings.DATABASES["default"]["ENGINE"]


class Desk:
    """A program with its own connection to the scratch database."""

    def __init__(self, url: str, *words: str) -> None:
        environment = {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"}
        self.program = subprocess.Popen(
            [sys.executable, "-m", "tests.house.two_approvers", *words],
            cwd=TOP,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def hears(self) -> dict[str, Any]:
        assert self.program.stdout is not None
        line = self.program.stdout.readline()
        assert line, self._last_words()
        answer: dict[str, Any] = json.loads(line)
        return answer

    def _last_words(self) -> str:
        assert self.program.stderr is not None
        return f"it ended without an answer: {self.program.stderr.read()[-3000:]}"

    def tell(self) -> None:
        assert self.program.stdin is not None
        self.program.stdin.write("go\n")
        self.program.stdin.flush()

    def still_waiting(self, seconds: float) -> bool:
        try:
            self.program.wait(seconds)
        except subprocess.TimeoutExpired:
            return True
        return False

    def close(self) -> None:
        self.program.kill()
        self.program.communicate()


Desks = Callable[..., Desk]


@contextmanager
def _database(name: str, template: str | None = None) -> Iterator[str]:
    """An empty database on the server of the suite, or a copy of another one; its address."""
    import psycopg
    from psycopg import sql

    parts = urlsplit(os.environ["DATABASE_URL"])
    address = urlunsplit(parts._replace(path=f"/{name}"))
    copied = sql.SQL(" TEMPLATE {}").format(sql.Identifier(template)) if template else sql.SQL("")
    with psycopg.connect(urlunsplit(parts._replace(path="/postgres")), autocommit=True) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)) + copied)
        try:
            yield address
        finally:
            server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a database with two priced repairs of 300.00 and 300.00 free to commit."""
    if ON_POSTGRES:
        with _database(f"mendbook_law_{os.getpid()}") as url:
            _fill(url)
            yield url
    else:
        url = f"sqlite:///{tmp_path_factory.mktemp('law') / 'filled.sqlite3'}"
        _fill(url)
        yield url


def _fill(url: str) -> None:
    desk = Desk(url, "prepare")
    try:
        assert desk.hears() == {"done": True}
        assert desk.program.wait(60) == 0
    finally:
        desk.close()


@pytest.fixture
def desks(filled: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Desks]:
    """Opens desks at a fresh copy of the filled database."""
    opened: list[Desk] = []

    def at(url: str) -> Desks:
        def desk(*words: str) -> Desk:
            opened.append(Desk(url, *words))
            return opened[-1]

        return desk

    try:
        if ON_POSTGRES:
            source = urlsplit(filled).path.lstrip("/")
            with _database(f"{source}_{request.node.name[-30:]}", source) as url:
                try:
                    yield at(url)
                finally:
                    for desk in opened:
                        desk.close()
        else:
            copy = tmp_path / "copy.sqlite3"
            shutil.copy(filled.removeprefix("sqlite:///"), copy)
            yield at(f"sqlite:///{copy}")
    finally:
        for desk in opened:
            desk.close()


def _assert_refused(answer: dict[str, Any]) -> None:
    assert answer["passed"] is False
    assert "300.00" in answer["sentence"]
    assert "0.00 is free to commit" in answer["sentence"]
    assert "Bank 1,300.00" in answer["details"]
    assert "less promised to repairs, not yet spent 300.00" in answer["details"]
    assert "less reserve kept back by the owner 1,000.00" in answer["details"]


def test_the_second_waits_for_the_first_and_is_then_refused(desks: Desks) -> None:
    first = desks("hold", "RO-0001")
    second = desks("approve", "RO-0002")
    assert first.hears() == {"ready": True}
    assert second.hears() == {"ready": True}
    assert first.hears() == {"holding": True}  # approved, not yet committed
    second.tell()
    assert second.still_waiting(1), "the second decided while the first was still open"
    first.tell()
    assert first.hears() == {"passed": True}
    _assert_refused(second.hears())


def test_of_two_that_start_together_exactly_one_passes(desks: Desks) -> None:
    both = [desks("approve", "RO-0001"), desks("approve", "RO-0002")]
    for desk in both:
        assert desk.hears() == {"ready": True}
    for desk in both:
        desk.tell()
    answers = sorted((desk.hears() for desk in both), key=lambda answer: answer["passed"])
    assert answers[1] == {"passed": True}
    _assert_refused(answers[0])


def test_if_the_first_gives_up_the_money_is_there_for_the_second(desks: Desks) -> None:
    first = desks("hold", "RO-0001")
    second = desks("approve", "RO-0002")
    for desk in (first, second):
        assert desk.hears() == {"ready": True}
    assert first.hears() == {"holding": True}
    second.tell()
    first.close()  # its connection breaks before the commit
    assert second.hears() == {"passed": True}


def test_of_two_that_write_down_the_same_check_the_second_finds_it_booked(desks: Desks) -> None:
    first, second = desks("hold-check", "204"), desks("check", "204")
    assert first.hears() == {"ready": True}
    assert second.hears() == {"ready": True}
    assert first.hears() == {"holding": True}  # written, not yet committed
    second.tell()
    assert second.still_waiting(1), "the second looked for the check while the first was still open"
    first.tell()
    assert first.hears() == {"passed": True}
    answer = second.hears()
    assert answer["passed"] is False
    assert "Check 204 over 50.00 is already booked as G-" in answer["sentence"]
