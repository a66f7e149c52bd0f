"""How far long work is, told in a small file: its own transaction holds the database until it ends.

A ``job`` is named by the program, like ``payout-12``; never by what somebody typed.
"""

import os
import tempfile
from pathlib import Path

from django.conf import settings


def _file(job: str) -> Path:
    return Path(settings.MEDIA_ROOT) / "progress" / job


def tell(job: str, rows: int) -> None:
    """Write down how many rows of a job are read."""
    target = _file(job)
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=target.parent)
    with os.fdopen(handle, "w") as file:
        file.write(str(rows))
    Path(temporary).replace(target)


def told(job: str) -> int:
    """How many rows of a job are read; 0 while nothing is told."""
    try:
        return int(_file(job).read_text())
    except (OSError, ValueError):
        return 0


def forget(job: str) -> None:
    _file(job).unlink(missing_ok=True)
