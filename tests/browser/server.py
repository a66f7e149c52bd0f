"""A real server in a process of its own, on a scratch database of the engine that the suite runs on.

Not pytest-django's ``live_server``: that one empties its tables after each test, which the guards of the
books refuse.
"""

import contextlib
import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from cryptography.fernet import Fernet
from django.urls import reverse

from tests.browser.databases import scratch_database

TOP = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Server:
    """``root`` is http://127.0.0.1:port; ``environment`` is what its processes run in; ``folder`` is its own."""

    root: str
    environment: dict[str, str]
    folder: Path

    def url(self, name: str, *args: object) -> str:
        return self.root + reverse(name, args=args)

    def set_day(self, day: date) -> None:
        """From the next request on, it is noon of that day."""
        (self.folder / "day").write_text(day.isoformat())

    def manage(self, *words: str) -> str:
        """Run a management command on the server's database; its output. Raises with the output if it fails."""
        return run([sys.executable, "manage.py", *words], self.environment)


def run(command: list[str], environment: dict[str, str]) -> str:
    done = subprocess.run(command, cwd=TOP, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise AssertionError(f"{' '.join(command)} gave {done.returncode}:\n{done.stdout}\n{done.stderr}")
    return done.stdout


# What the fixture ``serve`` gives, see conftest.py.
Serve = Callable[..., contextlib.AbstractContextManager[Server]]


@contextlib.contextmanager
def filled(
    folder: Path, *, fill: list[list[str]], copied_from: dict[str, str] | None = None
) -> Iterator[dict[str, str]]:
    """The environment of a database filled by the commands of ``fill`` (words after ``python``).

    ``copied_from`` is the environment of another one: its data is there already, and its keys are kept. Without
    it the database begins with ``migrate``.
    """
    kept = copied_from or {}
    with scratch_database(folder, kept.get("DATABASE_URL")) as database_url:
        environment = os.environ | {
            "DJANGO_SETTINGS_MODULE": "config.settings",
            "DATABASE_URL": database_url,
            "MEDIA_ROOT": str(folder / "media"),
            "MENDBOOK_DAY_FILE": str(folder / "day"),
            "SECRET_KEY": kept.get("SECRET_KEY") or secrets.token_urlsafe(50),
            "HOUSEHOLD_KEYS": kept.get("HOUSEHOLD_KEYS") or Fernet.generate_key().decode(),
            "ALLOWED_HOSTS": "127.0.0.1",
            "DEBUG": "false",
            "HTTPS": "false",
        }
        before = [] if kept else [["manage.py", "migrate", "--verbosity", "0"]]
        for words in [*before, *fill]:
            run([sys.executable, *words], environment)
        yield environment


@contextlib.contextmanager
def serving(
    folder: Path, *, fill: list[list[str]], day: date, copied_from: dict[str, str] | None = None
) -> Iterator[Server]:
    """A server on a database that ``filled`` made."""
    with filled(folder, fill=fill, copied_from=copied_from) as environment:
        port = free_port()
        server = Server(f"http://127.0.0.1:{port}", environment, folder)
        server.set_day(day)
        log = folder / "server.log"
        # More threads than Chromium opens connections ahead of need: each may hold one without asking for anything.
        command = [sys.executable, "-m", "gunicorn", "tests.browser.serve:application", "--threads", "16"]
        command += ["--bind", f"127.0.0.1:{port}", "--timeout", "120"]
        with log.open("w") as output:
            process = subprocess.Popen(command, cwd=TOP, env=environment, stdout=output, stderr=output)
        try:
            wait_for(server.root + "/", process, log)
            yield server
        finally:
            process.terminate()
            try:
                process.wait(timeout=20)
            except subprocess.TimeoutExpired:  # a request that never ends must not keep the suite waiting
                process.kill()
                process.wait()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for(url: str, process: subprocess.Popen[bytes], log: Path) -> None:
    """Until the server answers anything at all; fails with its log when it ends before."""
    for _ in range(600):
        if process.poll() is not None:
            break
        try:
            urllib.request.urlopen(url, timeout=30).close()
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise AssertionError(f"the server did not answer:\n{log.read_text()}")
