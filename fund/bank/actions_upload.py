"""A statement file between its upload and the decision to take it."""

import hashlib
from dataclasses import dataclass

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.bank.actions_import import StatementImport, account_of, import_statement, store_sheets, stored_for
from fund.bank.models import StatementFile, StatementLayout, StatementUpload
from fund.bank.rules import OPENING, BankRow, Sheet
from fund.bank.rules_chain import Joined, join
from fund.bank.rules_reading import read_statement, refuse_impossible_days
from fund.money import Money
from fund.refusal import AlreadyDone
from fund.trail.actions import record


@dataclass(frozen=True)
class PreviewRow:
    """A row of the file and whether an import would store it."""

    row: BankRow
    is_new: bool


@dataclass(frozen=True)
class Preview:
    """What an import would do; nothing of it is stored."""

    sheets: list[Sheet]
    joined: list[Joined]

    @property
    def rows(self) -> list[PreviewRow]:
        new = {line.row.ref for joined in self.joined for line in joined.new}
        return [PreviewRow(row, row.ref in new) for sheet in self.sheets for row in sheet.rows]

    @property
    def new(self) -> int:
        return sum(not line.row.ref.startswith(OPENING) for joined in self.joined for line in joined.new)

    @property
    def known(self) -> int:
        return sum(joined.known for joined in self.joined)


@transaction.atomic
def preview(
    *, by: Person, data: bytes, layout: StatementLayout | None, opening: Money | None, closing: Money | None
) -> Preview:
    """Read and join a file as the import would; nothing of it stays. Refuses what the import would refuse."""
    require(by, "bank.reconcile")
    sheets = read_statement(data, layout.spec if layout else None)
    refuse_impossible_days(sheets, clock.today())
    if len(sheets) == 1:
        stored = stored_for(account_of(sheets), sheets[0])
        return Preview(sheets, [join(sheets[0], stored, opening, closing)])
    mark = transaction.savepoint()  # each sheet of a file is read against those before it
    try:
        _, joined = store_sheets(by, sheets, data, "preview", layout, opening, closing)
    finally:
        transaction.savepoint_rollback(mark)
    return Preview(sheets, joined)


@transaction.atomic
def keep_upload(
    *,
    by: Person,
    data: bytes,
    filename: str,
    layout: StatementLayout | None = None,
    opening: Money | None = None,
    closing: Money | None = None,
) -> StatementUpload:
    """Keep a file for its preview. Refuses what the import would refuse, and a file that was imported before."""
    require(by, "bank.reconcile")
    before = StatementFile.objects.filter(sha256=hashlib.sha256(data).hexdigest()).first()
    if before is not None:
        raise AlreadyDone(
            f"This file was imported before, as {before.name} on {clock.day_of(before.at)}. All its lines are here; nothing was "
            "stored."
        )
    preview(by=by, data=data, layout=layout, opening=opening, closing=closing)
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:200] or "statement"
    return StatementUpload.objects.create(
        name=name, data=data, layout=layout, opening=opening, closing=closing, by=by, at=clock.now()
    )


def look_again(*, by: Person, upload: StatementUpload) -> Preview:
    """The preview of a kept file, against what is stored by now."""
    data, layout = bytes(upload.data), upload.layout
    return preview(by=by, data=data, layout=layout, opening=upload.opening, closing=upload.closing)


@transaction.atomic
def take_upload(*, by: Person, upload: StatementUpload) -> StatementImport:
    """Import a kept file and let go of the copy kept for the preview."""
    done = import_statement(
        by=by,
        data=bytes(upload.data),
        filename=upload.name,
        layout=upload.layout,
        opening=upload.opening,
        closing=upload.closing,
    )
    upload.delete()
    return done


@transaction.atomic
def drop_upload(*, by: Person, upload: StatementUpload) -> str:
    """Let go of a kept file without importing it; gives its name."""
    require(by, "bank.reconcile")
    name = upload.name
    upload.delete()
    record(
        by=by, action="bank.drop", subject=name[:60], text=f"{name} was dropped; nothing was taken from it."
    )
    return name
