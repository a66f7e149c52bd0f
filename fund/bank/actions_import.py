"""Bringing in a bank statement. A file, or a part of one, brought in again adds nothing."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.db.models import Sum

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.bank.models import (
    BankAccount,
    MatchGroup,
    MatchUndo,
    StatementFile,
    StatementLayout,
    StatementLine,
)
from fund.bank.rules import DELETE, OPENING, Sheet
from fund.bank.rules_chain import Joined, Known, NewLine, Stored, join, words_of
from fund.bank.rules_reading import read_statement, refuse_impossible_days
from fund.bulk import among, day_value, insert_rows
from fund.ledger.chart import BANK
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.refusal import BadInput
from fund.trail.actions import record

STEP = 500


@dataclass(frozen=True)
class StatementImport:
    """What an import did. ``new`` and ``known`` count lines of the file; ``corrected`` those the bank put right."""

    new: int
    known: int
    corrected: int = 0
    file: StatementFile | None = None

    @property
    def sentence(self) -> str:
        put_right = f", {self.corrected} put right by the bank" if self.corrected else ""
        new = "1 new line" if self.new == 1 else f"{self.new} new lines"
        known = "1 was" if self.known == 1 else f"{self.known} were"
        return f"{new}{put_right}, {known} here before."


@transaction.atomic
def import_statement(
    *,
    by: Person,
    data: bytes,
    filename: str,
    layout: StatementLayout | None = None,
    opening: Money | None = None,
    closing: Money | None = None,
    progress: Callable[[int], object] | None = None,
) -> StatementImport:
    """Store the lines of a statement file (OFX, camt.053, or CSV by a layout) that are not stored yet.

    ``opening`` and ``closing`` (minor units) are typed from the paper where a CSV tells no balance. Refuses, storing
    nothing: a file that cannot be read whole or tells of days to come, another account or currency, a sheet that does not
    add up or does not join the stored lines, with the difference (:func:`fund.bank.rules_chain.join`). A line the bank
    corrected leaves its match.
    """
    require(by, "bank.reconcile")
    hold_books()
    digest = hashlib.sha256(data).hexdigest()
    before = StatementFile.objects.filter(sha256=digest).first()
    if before is not None:
        return StatementImport(0, before.rows_in_file, file=before)
    sheets = read_statement(data, layout.spec if layout else None, progress)
    refuse_impossible_days(sheets, clock.today())
    file, done = store_sheets(by, sheets, data, filename, layout, opening, closing, progress)
    rows = [line for joined in done for line in joined.new if not line.row.ref.startswith(OPENING)]
    corrected, known = sum(bool(line.corrects) for line in rows), sum(joined.known for joined in done)
    text = f"{file.name}: {len(rows)} new lines of the bank, {known} were here before."
    record(by=by, action="bank.import", subject=file.name[:60], text=text, data={"sha256": digest})
    return StatementImport(len(rows) - corrected, known, corrected, file)


def store_sheets(
    by: Person,
    sheets: list[Sheet],
    data: bytes,
    filename: str,
    layout: StatementLayout | None,
    opening: Money | None,
    closing: Money | None,
    progress: Callable[[int], object] | None = None,
) -> tuple[StatementFile, list[Joined]]:
    """Join the sheets one after another, oldest first, and write what is new. Part of the import and of its preview."""
    sheets = sorted(sheets, key=lambda sheet: (sheet.start or date.min, sheet.end or date.min))
    account = account_of(sheets)
    account.save()
    file: StatementFile | None = None
    done: list[Joined] = []
    for sheet in sheets:
        joined = join(sheet, stored_for(account, sheet), opening, closing)
        done.append(joined)
        if file is None:
            file = _keep(by, account, sheets, joined, data, filename, layout)
        _write(by, account, file, joined.new, progress)
    assert file is not None
    return file, done


def account_of(sheets: list[Sheet]) -> BankAccount:
    """The fund's one account, new with its first statement and not saved here. Refuses a statement of another one."""
    numbers = {sheet.account for sheet in sheets} - {""}
    currencies = {sheet.currency for sheet in sheets} - {""}
    if len(numbers) > 1:
        raise BadInput("The file holds statements of several accounts. Download the fund's account alone.")
    number, currency = next(iter(numbers), ""), next(iter(currencies), "")
    account = BankAccount.objects.filter(ledger_account=BANK).first() or BankAccount(ledger_account_id=BANK)
    for told, kept, what in (
        (number, account.number, "the account"),
        (currency, account.currency, "the currency"),
    ):
        if told and kept and told != kept:
            raise BadInput(
                f"The statement is not of the fund's account: {what} is {_end(told)}, the fund's is {_end(kept)}. "
                "Nothing was taken from it."
            )
    account.number, account.currency = account.number or number, account.currency or currency
    return account


def _end(number: str) -> str:
    return f"…{number[-4:]}" if len(number) > 4 else number


def stored_for(account: BankAccount, sheet: Sheet) -> Stored:
    """What is stored of the account as far as a sheet needs it. Four queries, whatever the age of the account."""
    if account._state.adding:  # taken up with this very statement
        return Stored()
    lines = StatementLine.objects.filter(account=account)
    first = lines.filter(kind="OPENING", corrected_by=None).exclude(correction=DELETE).first()
    if first is None:
        return Stored()
    start, end = sheet.start or sheet.end, sheet.end
    before = lines.filter(on__lt=start).aggregate(sum=Sum("effect"))["sum"] if start else None
    refs = [row.ref for row in sheet.rows] + [row.corrects for row in sheet.rows if row.corrects]
    names = (
        "pk",
        "ref",
        "on",
        "amount",
        "effect",
        "name",
        "text",
        "check_number",
        "correction",
        "corrected_by",
    )
    # Two plain questions: as one with "or", the database would compare every line with every reference.
    rows = set(lines.filter(ref__in=among(refs)).values_list(*names))
    if start and end:
        rows |= set(lines.filter(on__range=(start, end)).values_list(*names))
    known = tuple(
        Known(pk, ref, on, amount, effect, words_of(name, text, check), correction, later is None)
        for pk, ref, on, amount, effect, name, text, check, correction, later in sorted(
            rows, key=lambda row: row[0]
        )
    )
    return Stored(_known(first), before or Money.zero, known)


def _known(line: StatementLine) -> Known:
    words = words_of(line.name, line.text, line.check_number)
    return Known(line.pk, line.ref, line.on, line.amount, line.effect, words, line.correction)


def _keep(
    by: Person,
    account: BankAccount,
    sheets: list[Sheet],
    first: Joined,
    data: bytes,
    filename: str,
    layout: StatementLayout | None,
) -> StatementFile:
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:200] or "statement"
    days = [day for sheet in sheets for day in (sheet.start, sheet.end) if day]
    return StatementFile.objects.create(
        account=account,
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        format=sheets[0].format,
        layout=layout,
        data=data,
        starts=min(days, default=None),
        ends=max(days, default=None),
        opening=first.opening,
        closing=first.closing if len(sheets) == 1 else sheets[-1].closing,
        rows_in_file=sum(len(sheet.rows) for sheet in sheets),
        by=by,
        at=clock.now(),
    )


def _write(
    by: Person,
    account: BankAccount,
    file: StatementFile,
    new: tuple[NewLine, ...],
    progress: Callable[[int], object] | None,
) -> None:
    plain = [line for line in new if not line.row.correction]
    days = {day: day_value(day) for day in {line.row.on for line in plain}}
    names = ("account_id", "file_id", "ref", "on", "amount", "effect", "name", "text", "kind", "check_number", "correction",
             "corrects_id")  # fmt: skip
    for at in range(0, len(plain), STEP):
        batch = plain[at : at + STEP]
        rows = [
            (account.pk, file.pk, line.row.ref, days[line.row.on], line.row.amount.minor, line.effect.minor, line.row.name,
             line.row.text, line.row.kind, line.row.check_number, "", None)
            for line in batch
        ]  # fmt: skip
        insert_rows(StatementLine, names, rows)
        if progress:
            progress(len(batch))
    for line in new:
        if line.row.correction:
            _correct(by, account, file, line)


def _correct(by: Person, account: BankAccount, file: StatementFile, line: NewLine) -> None:
    """Write the bank's correction beside the old line, and take the old one out of its match."""
    row = line.row
    old = StatementLine.objects.get(account=account, ref=line.corrects)
    StatementLine.objects.create(
        account=account, file=file, ref=row.ref, on=row.on, amount=row.amount, effect=line.effect, name=row.name,
        text=row.text, kind=row.kind, check_number=row.check_number, correction=row.correction, corrects=old,
    )  # fmt: skip
    for group in MatchGroup.objects.filter(parts__bank_line=old, undone=None):
        reason = f"The bank corrected the line of {old.on} over {old.amount}."
        MatchUndo.objects.create(group=group, reason=reason, by=by, at=clock.now())
        record(by=by, action="bank.undo", subject=group.code, text=f"{group.code} undone. {reason}")
