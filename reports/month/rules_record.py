"""The published record as bytes: one way to write it, its digest, and the chain from month to month.

A record is written as JSON with sorted keys, no spaces, UTF-8, and whole numbers only (money in minor units,
hours in tenths). Its digest is the SHA-256 of exactly those bytes, so ``sha256sum record.json`` shows it.
Each record carries the digest of the record published before it; the first carries null.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

FORMAT = "month-record-1"


def canonical(record: Mapping[str, Any]) -> str:
    """The one text of a record. Refuses floats and anything JSON would have to guess about."""
    _check(record, "record")
    return json.dumps(record, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def digest(text: str) -> str:
    """SHA-256 of the UTF-8 bytes, 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def _check(value: Any, where: str) -> None:
    if value is None or isinstance(value, (str, bool)) or type(value) is int:
        return
    if isinstance(value, Mapping):
        for key, item in value.items():
            if not isinstance(key, str):
                raise TypeError(f"{where} has a key that is not text: {key!r}")
            _check(item, f"{where}.{key}")
    elif isinstance(value, (list, tuple)):
        for place, item in enumerate(value):
            _check(item, f"{where}[{place}]")
    else:
        raise TypeError(
            f"{where} is {type(value).__name__}; a record holds text, whole numbers, yes/no and lists"
        )


def chain_breaks(published: Iterable[tuple[str, str, str]]) -> list[str]:
    """What is wrong with a row of published months, oldest first, each (month, record text, digest as kept).

    A sentence for each break: a record whose bytes no longer give its digest, or that does not carry the
    digest of the record before it.
    """
    breaks = []
    before: str | None = None
    for month, text, kept in published:
        found = digest(text)
        if found != kept:
            breaks.append(
                f"{month}: the record gives the digest {found[:12]}…, but {kept[:12]}… was published."
            )
        carried = _carried(text)
        if carried != before:
            breaks.append(
                f"{month}: the record names {_short(carried)} as the one before it, but that is {_short(before)}."
            )
        before = found
    return breaks


def _carried(text: str) -> str | None:
    try:
        value = json.loads(text).get("previous_digest")
    except (ValueError, AttributeError):
        return "unreadable"
    return value if value is None or isinstance(value, str) else "unreadable"


def _short(value: str | None) -> str:
    return f"{value[:12]}…" if value else "none"
