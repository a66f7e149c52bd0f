"""A backup of everything in one file, and the way back from it."""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from django.conf import settings
from django.db import DatabaseError, connection, transaction

from fund import clock
from fund.access.models import Person
from fund.backup.rules import MANIFEST, NO_BACKUP, Manifest, Table, manifest_of, other_columns, safe_path
from fund.backup.tables import Stored, count_on, count_rows, fill, stored_tables, table_lines
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record

CHUNK = 1 << 20
Progress = Callable[[str], object]


def _quiet(words: str) -> None:
    return None


def write_backup(*, by: Person | None, path: Path, progress: Progress = _quiet) -> Manifest:
    """Write database and attachments into one file and read it again; the file is there whole or not at all.

    Only its owner may read it. What households told stays sealed in it, and the key is not in it. ``by`` is None when a
    timer runs it. Refuses (AlreadyDone) a name that is taken, (NotReady) a folder that is missing.
    """
    if path.exists():
        raise AlreadyDone(f"There is a file {path} already. Give the backup another name.")
    if not path.parent.is_dir():
        raise NotReady(f"There is no folder {path.parent}. Make it first.")
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".backup-")
    os.close(handle)
    try:
        with transaction.atomic(), ZipFile(name, "w", ZIP_DEFLATED) as archive:
            manifest = _write(archive, progress)
            words = f"{manifest.rows} rows and {len(manifest.files)} files."
            record(by=by, action="books.backup", subject=f"entry {manifest.entries}", text=words)
        with ZipFile(name) as archive:
            _verify(archive, manifest, progress)
        os.replace(name, path)
    finally:
        Path(name).unlink(missing_ok=True)
    return manifest


def _write(archive: ZipFile, progress: Progress) -> Manifest:
    hold_books()
    tables = [_write_table(archive, table, progress) for table in stored_tables()]
    files = dict(_write_files(archive, Path(settings.MEDIA_ROOT), progress))
    last = Entry.objects.order_by("-number").first()
    numbers = (last.number, last.digest) if last else (0, "")
    manifest = Manifest(clock.now().isoformat(), *numbers, tables, files)
    archive.writestr(MANIFEST, manifest.to_json())
    return manifest


def _write_table(archive: ZipFile, table: Stored, progress: Progress) -> Table:
    digest, rows = hashlib.sha256(), 0
    with archive.open(f"tables/{table.name}.jsonl", "w", force_zip64=True) as member:
        for line in table_lines(table):
            data = line.encode() + b"\n"
            digest.update(data)
            member.write(data)
            rows += 1
    progress(table.name)
    return Table(table.name, table.columns, rows, digest.hexdigest())


def _write_files(archive: ZipFile, root: Path, progress: Progress) -> Iterator[tuple[str, str]]:
    for path in sorted(root.rglob("*") if root.is_dir() else []):
        name = path.relative_to(root).as_posix()
        if path.is_file() and safe_path(name):
            info = ZipInfo(f"media/{name}")
            info.compress_type = ZIP_STORED  # pictures are small already
            with path.open("rb") as source, archive.open(info, "w", force_zip64=True) as member:
                digest = _copy(source, member)
            progress(name)
            yield name, digest


def _copy(source: IO[bytes], target: IO[bytes] | None) -> str:
    digest = hashlib.sha256()
    while data := source.read(CHUNK):
        digest.update(data)
        if target is not None:
            target.write(data)
    return digest.hexdigest()


def read_backup(path: Path, progress: Progress = _quiet) -> Manifest:
    """Prove that a backup is whole. Refuses (BadInput) naming the first member that is not as it was written."""
    try:
        with ZipFile(path) as archive:
            manifest = manifest_of(archive.read(MANIFEST).decode())
            _verify(archive, manifest, progress)
    except (BadZipFile, KeyError, EOFError, UnicodeDecodeError) as error:
        raise BadInput(NO_BACKUP) from error
    return manifest


def _verify(archive: ZipFile, manifest: Manifest, progress: Progress) -> None:
    for name, digest in manifest.digests().items():
        try:
            with archive.open(name) as member:
                found = _copy(member, None)
        except (BadZipFile, KeyError, EOFError) as error:
            raise BadInput(f"This backup is damaged: {name} cannot be read.") from error
        if found != digest:
            raise BadInput(f"This backup is damaged: {name} is not what was written.")
        progress(name)


def restore_backup(*, path: Path, prove: Callable[[], list[str]], progress: Progress = _quiet) -> Manifest:
    """Fill a new database, fresh from ``migrate``, from a backup; everything or nothing.

    Nobody is signed in to an empty book, so there is no ``by``; the trail says that it was restored. ``prove`` is called
    before anything is kept and returns the breaks it found. Refuses (BadInput) a damaged file or one of another version,
    (NotReady) a database without its tables, (AlreadyDone) a database or a folder of attachments that holds something.
    """
    manifest = read_backup(path, progress)
    tables = stored_tables()
    differ = other_columns({t.name: t.columns for t in manifest.tables}, {t.name: t.columns for t in tables})
    if differ:
        raise BadInput(
            "This backup was made by another version of the program. Restore it with that one.", differ
        )
    root = Path(settings.MEDIA_ROOT)
    _refuse_unmade(tables)
    _refuse_full(tables, root)
    with ZipFile(path) as archive, tempfile.TemporaryDirectory(prefix="mendbook-restore-") as folder:
        _unpack(archive, manifest, Path(folder), progress)
        try:
            with transaction.atomic():
                _fill(archive, manifest, tables, progress)
                _prove(prove)
                words = f"{manifest.rows} rows and {len(manifest.files)} files, as of {manifest.made_at}."
                record(by=None, action="books.restore", subject=f"entry {manifest.entries}", text=words)
                # Within the transaction: if the files cannot be laid, the rows are not kept either.
                shutil.copytree(folder, root, dirs_exist_ok=True)
        except DatabaseError as error:
            raise BadInput(f"The database does not take this backup: {error}") from error
    return manifest


def _refuse_unmade(tables: list[Stored]) -> None:
    there = set(connection.introspection.table_names())
    missing = [table.name for table in tables if table.name not in there]
    if missing:
        raise NotReady(
            "This database has not all its tables yet. Run `migrate` first, then restore.",
            [f"not there: {name}" for name in missing[:5]],
        )


def _refuse_full(tables: list[Stored], root: Path) -> None:
    full = [table.name for table in tables if table.name != "auth_group" and count_rows(table)]
    if full:
        raise AlreadyDone(
            "This database holds something already. Restore into a new one, right after `migrate` and before `prepare`.",
            [f"not empty: {name}" for name in full[:5]],
        )
    if root.is_dir() and any(path.is_file() for path in root.rglob("*")):
        raise AlreadyDone(f"The folder of attachments {root} is not empty. Move what is in it away first.")


def _unpack(archive: ZipFile, manifest: Manifest, folder: Path, progress: Progress) -> None:
    for name in manifest.files:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        with archive.open(f"media/{name}") as member, target.open("wb") as copy:
            _copy(member, copy)
        target.chmod(0o640)
        progress(name)


def _fill(archive: ZipFile, manifest: Manifest, tables: list[Stored], progress: Progress) -> None:
    kept = {table.name: table for table in manifest.tables}
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM auth_group")
    for table in tables:
        with archive.open(kept[table.name].member) as member:
            fill(table, kept[table.name].columns, (line.decode() for line in member))
        progress(table.name)
    count_on(tables)


def _prove(prove: Callable[[], list[str]]) -> None:
    breaks = prove()
    if breaks:
        raise BadInput("The books in this backup do not prove. Nothing was restored.", breaks[:10])
