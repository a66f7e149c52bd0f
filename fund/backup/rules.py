"""The form of a backup file, apart from any database.

A backup is one ZIP archive: ``manifest.json``, ``tables/<table>.jsonl`` with one JSON list per row in the order of the
columns that the manifest names, and ``media/...`` with the attachments as they lie on the disk. The manifest gives the
SHA-256 of every member. Cells are written the same way whichever database they come from, so that a backup of SQLite can
be restored into PostgreSQL and the other way round.
"""

import base64
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, date, datetime, time
from pathlib import PurePosixPath
from typing import Any

from fund.refusal import BadInput

FORM = "mendbook-backup-1"
MANIFEST = "manifest.json"
NO_BACKUP = "This file is no backup that Mendbook wrote, or it is cut off."

BINARY = frozenset({"BinaryField"})
DAYS = frozenset({"DateField"})
MOMENTS = frozenset({"DateTimeField"})
HOURS = frozenset({"TimeField"})
TRUTHS = frozenset({"BooleanField"})
JSONS = frozenset({"JSONField"})


@dataclass(frozen=True, slots=True)
class Table:
    name: str
    columns: list[str]
    rows: int
    sha256: str

    @property
    def member(self) -> str:
        return f"tables/{self.name}.jsonl"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What is in a backup. ``files`` maps the path of each attachment to its SHA-256."""

    made_at: str
    entries: int
    last_digest: str
    tables: list[Table]
    files: dict[str, str]
    form: str = field(default=FORM)

    def to_json(self) -> str:
        return json.dumps(asdict(self), ensure_ascii=False, indent=1, sort_keys=True)

    @property
    def rows(self) -> int:
        return sum(table.rows for table in self.tables)

    def digests(self) -> dict[str, str]:
        """SHA-256 of each member of the archive besides the manifest."""
        found = {table.member: table.sha256 for table in self.tables}
        return found | {f"media/{path}": digest for path, digest in self.files.items()}


def manifest_of(text: str) -> Manifest:
    """Read a manifest; refuses (BadInput) what is none, and paths that would leave the folder of the attachments."""
    try:
        told = json.loads(text)
        tables = [Table(**row) for row in told.pop("tables")]
        manifest = Manifest(tables=tables, **told)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise BadInput(NO_BACKUP) from error
    if manifest.form != FORM:
        raise BadInput(f"This backup is of the form “{manifest.form}”; this program reads “{FORM}”.")
    if any(not safe_path(path) for path in manifest.files):
        raise BadInput("A file in this backup would land outside the folder of the attachments.")
    return manifest


def safe_path(path: str) -> bool:
    parts = PurePosixPath(path).parts
    return bool(parts) and not path.startswith("/") and ".." not in parts and "\\" not in path


def row_text(values: Sequence[Any], kinds: Sequence[str]) -> str:
    """One row as a line of JSON. ``kinds`` are Django's names of the kinds of column."""
    cells = [_written(value, kind) for value, kind in zip(values, kinds, strict=True)]
    return json.dumps(cells, ensure_ascii=False, separators=(",", ":"))


def row_values(line: str, kinds: Sequence[str]) -> list[Any]:
    """The row again, as Python values."""
    return [_read(cell, kind) for cell, kind in zip(json.loads(line), kinds, strict=True)]


def _written(value: Any, kind: str) -> Any:
    if value is None:
        return None
    if kind in BINARY:
        return base64.b64encode(bytes(value)).decode()
    if kind in TRUTHS:
        return bool(value)
    if kind in MOMENTS:
        moment = datetime.fromisoformat(value) if isinstance(value, str) else value
        return (moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)).isoformat()
    if kind in JSONS:
        return {"json": json.loads(value) if isinstance(value, str) else value}  # apart from no value at all
    if isinstance(value, date | time):
        return value.isoformat()
    return value


def _read(cell: Any, kind: str) -> Any:
    if cell is None:
        return None
    if kind in BINARY:
        return base64.b64decode(cell)
    if kind in MOMENTS:
        return datetime.fromisoformat(cell)
    if kind in DAYS:
        return date.fromisoformat(cell)
    if kind in HOURS:
        return time.fromisoformat(cell)
    if kind in JSONS:
        return json.dumps(cell["json"], ensure_ascii=False)
    return cell


def other_columns(kept: Mapping[str, Sequence[str]], here: Mapping[str, Sequence[str]]) -> list[str]:
    """Sentences on tables that differ between the backup and this program, in any order of columns."""
    found = [f"{name} is not known here" for name in sorted(kept.keys() - here.keys())]
    found += [f"{name} is missing from the backup" for name in sorted(here.keys() - kept.keys())]
    both = sorted(kept.keys() & here.keys())
    return found + [f"{name} has other columns" for name in both if set(kept[name]) != set(here[name])]
