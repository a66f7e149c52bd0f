"""One file with everything, proved to be whole; damaged, foreign or doubled ones are refused in a sentence."""

import json
import os
import shutil
from datetime import UTC, date, datetime, time
from pathlib import Path
from zipfile import ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from fund.access.models import Person
from fund.attachments.actions import store
from fund.backup.actions import read_backup, restore_backup, write_backup
from fund.backup.rules import Manifest, Table, manifest_of, row_text, row_values
from fund.ledger.actions import post
from fund.ledger.chart import ADMIN, BANK
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from tests.fund.attachments.makers import photo

KINDS = [
    "BigAutoField",
    "TextField",
    "DateField",
    "DateTimeField",
    "TimeField",
    "BooleanField",
    "BinaryField",
    "JSONField",
]
ROW = [
    7,
    "–\n'",
    date(2026, 3, 1),
    datetime(2026, 3, 1, 5, 0, 0, 17, UTC),
    time(9, 30),
    True,
    b"\x00\xff",
    '{"b": [1, null]}',
]


def test_a_row_comes_back_from_its_text() -> None:
    assert row_values(row_text(ROW, KINDS), KINDS) == ROW


def test_what_sqlite_stores_as_text_and_numbers_is_written_as_postgresql_writes_it() -> None:
    stored = [
        7,
        "–\n'",
        "2026-03-01",
        "2026-03-01 05:00:00.000017",
        "09:30:00",
        1,
        b"\x00\xff",
        '{"b": [1, null]}',
    ]
    assert row_text(stored, KINDS) == row_text([*ROW[:-1], {"b": [1, None]}], KINDS)


def test_nothing_and_a_json_null_stay_apart() -> None:
    assert row_values(row_text([None, "null"], ["JSONField", "JSONField"]), ["JSONField", "JSONField"]) == [
        None,
        "null",
    ]


def test_a_path_out_of_the_folder_is_refused() -> None:
    for path in ("../settings.py", "/etc/passwd", "a/../../b"):
        text = Manifest("2026-03-15T12:00:00+00:00", 0, "", [Table("t", [], 0, "")], {path: "0"}).to_json()
        with pytest.raises(BadInput, match="outside the folder"):
            manifest_of(text)


@pytest.fixture
def backup(treasurer: Person, tmp_path: Path, settings: pytest.FixtureRequest) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"  # type: ignore[attr-defined]
    lines = [dr(ADMIN, Money(12_00)), cr(BANK, Money(12_00))]
    post(by=treasurer, draft=EntryDraft("by hand", date(2026, 3, 2), "Stamps", lines))
    upload = SimpleUploadedFile("slip.jpg", photo())
    store(by=treasurer, upload=upload, subject="R-00001", power="receipt.see")
    write_backup(by=None, path=tmp_path / "books.zip")
    return tmp_path / "books.zip"


@pytest.mark.django_db
def test_a_backup_holds_rows_and_files_and_is_for_its_owner_only(backup: Path) -> None:
    manifest = read_backup(backup)
    rows = {table.name: table.rows for table in manifest.tables}
    assert (rows["fund_entry"], rows["fund_line"], manifest.entries) == (1, 2, 1)
    assert len(manifest.files) == 1
    assert "django_session" not in rows
    assert backup.stat().st_mode & 0o077 == 0
    with ZipFile(backup) as archive:
        line = json.loads(archive.read("tables/fund_entry.jsonl").decode())
        entry = next(table for table in manifest.tables if table.name == "fund_entry")
        assert line[entry.columns.index("digest")] == manifest.last_digest


@pytest.mark.django_db
def test_one_changed_byte_is_named(backup: Path, tmp_path: Path) -> None:
    data = bytearray(backup.read_bytes())
    with ZipFile(backup) as archive:
        info = next(i for i in archive.infolist() if i.filename.startswith("media/"))
    data[info.header_offset + 30 + len(info.filename) + 200] ^= 1
    damaged = tmp_path / "damaged.zip"
    damaged.write_bytes(data)
    with pytest.raises(BadInput, match="This backup is damaged: media/"):
        read_backup(damaged)


@pytest.mark.django_db
def test_a_changed_row_is_named_even_if_the_archive_was_made_anew(backup: Path, tmp_path: Path) -> None:
    forged = tmp_path / "forged.zip"
    with ZipFile(backup) as old, ZipFile(forged, "w") as new:
        for info in old.infolist():
            data = old.read(info)
            new.writestr(
                info.filename, data.replace(b"1200", b"1300") if "fund_line" in info.filename else data
            )
    with pytest.raises(BadInput, match="fund_line.jsonl is not what was written"):
        read_backup(forged)


@pytest.mark.django_db
@pytest.mark.parametrize("size", [0, 100, 5000])
def test_a_file_cut_off_is_refused(backup: Path, tmp_path: Path, size: int) -> None:
    cut = tmp_path / "cut.zip"
    cut.write_bytes(backup.read_bytes()[:size])
    with pytest.raises(BadInput, match="no backup that Mendbook wrote"):
        read_backup(cut)


@pytest.mark.django_db
def test_a_name_that_is_taken_and_a_missing_folder_are_refused(backup: Path, tmp_path: Path) -> None:
    before = backup.read_bytes()
    with pytest.raises(AlreadyDone, match="Give the backup another name"):
        write_backup(by=None, path=backup)
    assert backup.read_bytes() == before
    with pytest.raises(NotReady, match="There is no folder"):
        write_backup(by=None, path=tmp_path / "none" / "books.zip")
    assert not [name for name in os.listdir(tmp_path) if name.startswith(".backup-")]


@pytest.mark.django_db
def test_a_database_that_holds_something_is_not_written_over(backup: Path) -> None:
    with pytest.raises(AlreadyDone, match="holds something already"):
        restore_backup(path=backup, prove=list)


@pytest.mark.django_db
def test_a_backup_of_another_version_names_what_differs(backup: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.zip"
    shutil.copy(backup, other)
    with ZipFile(backup) as old, ZipFile(other, "w") as new:
        for info in old.infolist():
            data = old.read(info)
            if info.filename == "manifest.json":
                data = data.replace(b'"prev_digest"', b'"digest_before"')
            new.writestr(info.filename, data)
    with pytest.raises(BadInput) as refused:
        restore_backup(path=other, prove=list)
    assert "another version" in refused.value.sentence
    assert "fund_entry has other columns" in refused.value.details
