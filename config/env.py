"""Strict reading of the environment: a value that cannot be understood stops the program."""

import base64
import os
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

TRIAL_KEY = base64.urlsafe_b64encode(b"known-to-all: for a trial only..").decode()


def flag(name: str, default: bool) -> bool:
    text = os.environ.get(name)
    if text is None or text == "":
        return default
    if text.lower() in ("true", "1", "yes"):
        return True
    if text.lower() in ("false", "0", "no"):
        return False
    raise ImproperlyConfigured(f"{name} must be true or false, not {text!r}.")


def words(name: str, default: list[str]) -> list[str]:
    text = os.environ.get(name)
    return default if text is None else [word.strip() for word in text.split(",") if word.strip()]


def sealing_keys(name: str, trial: bool) -> list[str]:
    """The keys that seal households' data: each 32 bytes in URL-safe base64. The first writes, all read.

    Without any, a trial (``DEBUG``) gets one that everybody knows, and anything else does not start.
    """
    keys = words(name, [])
    if not keys:
        if not trial:
            raise ImproperlyConfigured(
                f"Set {name} in the environment: the key that seals households' data, kept apart from the database. "
                'Make one with: python -c "from cryptography.fernet import Fernet; print(Fernet.generate_key().decode())"'
            )
        return [TRIAL_KEY]
    for place, key in enumerate(keys, start=1):
        try:
            good = len(base64.urlsafe_b64decode(key)) == 32
        except ValueError:
            good = False
        if not good:
            raise ImproperlyConfigured(f"Key {place} of {name} is not 32 bytes in URL-safe base64.")
    if TRIAL_KEY in keys and not trial:
        raise ImproperlyConfigured(
            f"{name} holds the trial key, which everybody knows. Make one of your own."
        )
    return keys


def database(base: Path) -> dict[str, Any]:
    """The database named by DATABASE_URL: ``sqlite:////absolute/file`` or ``postgres://user:pw@host:port/name``."""
    url = os.environ.get("DATABASE_URL") or f"sqlite:///{base / 'var' / 'mendbook.sqlite3'}"
    parts = urlsplit(url)
    if parts.scheme == "sqlite":
        return _sqlite(parts.path[1:] if parts.path != "/:memory:" else ":memory:")
    if parts.scheme in ("postgres", "postgresql"):
        query = dict(parse_qsl(parts.query))
        return {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": unquote(parts.path.lstrip("/")),
            "USER": unquote(parts.username or ""),
            "PASSWORD": unquote(parts.password or ""),
            "HOST": query.pop("host", parts.hostname or ""),
            "PORT": str(parts.port or ""),
            "OPTIONS": query,
            "CONN_MAX_AGE": 60,
        }
    raise ImproperlyConfigured(
        f"DATABASE_URL must start with sqlite:// or postgres://, not {parts.scheme!r}."
    )


def _sqlite(name: str) -> dict[str, Any]:
    if name != ":memory:":
        Path(name).parent.mkdir(parents=True, exist_ok=True)
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": name,
        "OPTIONS": {
            # IMMEDIATE: two writers queue up at the start instead of failing half-way (law of promises).
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            # recursive_triggers: INSERT OR REPLACE must meet the guards against DELETE too.
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
                " PRAGMA recursive_triggers=ON;"
            ),
        },
    }
