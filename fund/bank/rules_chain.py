"""How a sheet joins what is stored: which lines are new, and whether every cent between the balances is there. Pure.

Opening + lines = closing, or the file is refused with the difference. The opening must be what the stored lines come to
before the sheet's first day. A line never counts twice, whichever file brings it and in whichever order files come.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from fund.bank.rules import DELETE, OPENING, REPLACE, BankRow, Sheet
from fund.money import Money, total
from fund.refusal import BadInput, NotReady

MANY = 10


class Known(NamedTuple):
    """A stored line. ``effect`` is what it adds to the balance on its own day; ``stands`` unless a later line corrects it."""

    pk: int
    ref: str
    on: date
    amount: Money
    effect: Money
    words: str = ""
    correction: str = ""
    stands: bool = True


@dataclass(frozen=True, slots=True)
class Stored:
    """What is stored of the account as far as a sheet needs it.

    ``before``: balance at the end of the day before the sheet begins; ``opening``: the row the stored statements begin
    with; ``at_opening``: the balance at the end of that row's day; ``lines``: those of the sheet's days or with its keys.
    """

    opening: Known | None = None
    before: Money = Money.zero
    lines: tuple[Known, ...] = ()


class NewLine(NamedTuple):
    """A row to write. ``corrects`` is the key of a stored line or of an earlier one of the same plan."""

    row: BankRow
    effect: Money
    corrects: str = ""


@dataclass(frozen=True, slots=True)
class Joined:
    """``new`` rows in order; ``known`` counts rows of the sheet that were stored before.

    ``closing`` is the balance after the sheet's last line, which may be later than the day of the balance it tells.
    """

    new: tuple[NewLine, ...]
    known: int
    opening: Money | None
    closing: Money | None


def join(sheet: Sheet, stored: Stored, opening: Money | None = None, closing: Money | None = None) -> Joined:
    """What a sheet adds. ``opening`` and ``closing`` are typed from the paper where the file tells none.

    Refuses a difference, a gap, a correction of an unknown line, a key that now stands for another line, and stored
    lines of these days that the sheet does not have.
    """
    by_ref = {line.ref: line for line in stored.lines}
    told = _told(sheet, opening, closing)
    _refuse_changed(sheet.rows, by_ref)
    effects = _effects(sheet.rows, by_ref)
    start = _verify(sheet, told, effects, stored)
    earlier = _earlier_that_day(sheet, start, stored)
    within = [line for line in stored.lines if line not in earlier]
    again = _under_new_refs(sheet, within, by_ref, told.whole)
    _refuse_lacking(sheet, within, again, told.whole)
    new = [
        NewLine(row, effects[row.ref], row.corrects if row.correction else "")
        for row in sheet.rows
        if row.ref not in by_ref and row.ref not in again
    ]
    end = start + total(effects.values()) if start is not None and told.whole else None
    return Joined(
        (*_opening_rows(sheet, stored, start, effects), *new), len(sheet.rows) - len(new), start, end
    )


@dataclass(frozen=True, slots=True)
class _Told:
    opening: Money | None
    closing: Money | None
    on: date | None

    @property
    def whole(self) -> bool:
        """The sheet proves that it holds every line of its days."""
        return self.closing is not None


def _told(sheet: Sheet, opening: Money | None, closing: Money | None) -> _Told:
    if closing is not None and sheet.closing is None:
        return _Told(sheet.opening if sheet.opening is not None else opening, closing, sheet.end)
    return _Told(
        sheet.opening if sheet.opening is not None else opening, sheet.closing, sheet.closing_on or sheet.end
    )


def _words(row: BankRow) -> str:
    return f"{row.name} {row.text} {row.check_number}".casefold()


def words_of(name: str, text: str, check_number: str) -> str:
    """The words by which a line under a new key is known again."""
    return f"{name} {text} {check_number}".casefold()


def _under_new_refs(
    sheet: Sheet, lines: Sequence[Known], by_ref: Mapping[str, Known], whole: bool
) -> dict[str, Known]:
    """Rows that are stored under another key: some banks number their lines anew with each download.

    Only lines of the sheet's days that the sheet does not have by their own key come into question.
    """
    if not whole:
        return {}
    here = {row.ref for row in sheet.rows}
    waiting: dict[tuple[date, Money, str], list[Known]] = defaultdict(list)
    for line in lines:
        if line.ref not in here and line.stands and not line.correction and _within(line.on, sheet):
            waiting[line.on, line.amount, line.words].append(line)
    if not waiting:
        return {}
    found = {}
    for row in sheet.rows:
        same = waiting.get((row.on, row.amount, _words(row)))
        if row.ref not in by_ref and same and not row.correction:
            found[row.ref] = same.pop(0)
    return found


def _within(day: date, sheet: Sheet) -> bool:
    return sheet.start is not None and sheet.end is not None and sheet.start <= day <= sheet.end


def _refuse_changed(rows: Sequence[BankRow], by_ref: Mapping[str, Known]) -> None:
    wrong = [
        f"{row.ref}: stored as {by_ref[row.ref].amount} of {by_ref[row.ref].on}, in this file {row.amount} of {row.on}."
        for row in rows
        if row.ref in by_ref and (by_ref[row.ref].on, by_ref[row.ref].amount) != (row.on, row.amount)
    ]
    if wrong:
        raise BadInput(
            "The bank uses the reference of a stored line for another one. Nothing was taken from the file; ask the bank "
            "which is right.",
            wrong[:MANY],
        )


def _effects(rows: Sequence[BankRow], by_ref: Mapping[str, Known]) -> dict[str, Money]:
    """What each row of the sheet adds to the balance: its amount, or the change that a correction makes."""
    amounts = {ref: line.amount for ref, line in by_ref.items()} | {row.ref: row.amount for row in rows}
    times = Counter(row.corrects for row in rows if row.correction)
    effects = {}
    for row in rows:
        if not row.correction:
            effects[row.ref] = row.amount
            continue
        if row.ref in by_ref:
            effects[row.ref] = by_ref[row.ref].effect
            continue
        old = by_ref.get(row.corrects)
        if row.corrects not in amounts or row.corrects == row.ref:
            raise NotReady(
                f"The line {row.ref} of {row.on} corrects {row.corrects}, which is not stored. "
                "Import the statement with that line first."
            )
        if times[row.corrects] > 1 or (old is not None and not old.stands):
            raise BadInput(
                f"The line {row.corrects} is corrected twice. Ask the bank which correction holds."
            )
        new = row.amount if row.correction == REPLACE else Money.zero
        effects[row.ref] = new - amounts[row.corrects]
    return effects


def _verify(sheet: Sheet, told: _Told, effects: Mapping[str, Money], stored: Stored) -> Money | None:
    """The opening of the sheet, told or worked out, when everything ties."""
    moved = total(effects[row.ref] for row in sheet.rows if told.on is None or row.on <= told.on)
    if told.opening is not None and told.closing is not None and told.opening + moved != told.closing:
        raise BadInput(
            f"The statement does not add up: opening {told.opening} + lines {moved} = {told.opening + moved}, and it says "
            f"closing {told.closing}: {told.closing - told.opening - moved} apart. Nothing was taken from it."
        )
    start = told.opening
    if start is None and told.closing is not None:
        start = told.closing - moved
    if stored.opening is None:
        if start is None:
            raise NotReady(
                "This is the first statement of the account, and the file does not say what lay there before its first line. "
                "Type the opening balance from the paper statement."
            )
        return start
    if start is not None and sheet.start is not None and sheet.start > stored.opening.on:
        _refuse_gap(start, stored.before, sheet.start, bool(_earlier_that_day(sheet, start, stored)))
    return start


def _earlier_that_day(sheet: Sheet, start: Money | None, stored: Stored) -> list[Known]:
    """Stored lines of the sheet's first day that lie before its opening, where a download goes on within a day."""
    if start is None or start == stored.before:
        return []
    here = {row.ref for row in sheet.rows}
    found = [line for line in stored.lines if line.on == sheet.start and line.ref not in here]
    return found if start == stored.before + total(line.effect for line in found) else []


def _refuse_gap(start: Money, before: Money, day: date, goes_on: bool) -> None:
    if start != before and not goes_on:
        raise BadInput(
            f"Before {day} the stored statements end at {before}, this one begins at {start}: {start - before} apart. "
            "Import the statement in between first; if there is none, a line is missing or the balance in the file is of "
            "another day than its last line."
        )


def _refuse_lacking(sheet: Sheet, lines: Sequence[Known], again: Mapping[str, Known], whole: bool) -> None:
    """Stored lines of the sheet's days that it does not have would count beside those that stand for them."""
    here = {row.ref for row in sheet.rows} | {line.ref for line in again.values()}
    lacking = [
        line
        for line in lines
        if whole and _within(line.on, sheet) and line.ref not in here and line.correction in ("", REPLACE, DELETE)
        and not line.ref.startswith(OPENING)
    ]  # fmt: skip
    if lacking:
        raise BadInput(
            f"{len(lacking)} stored lines of these days are not in this file, and its balances do not need them. "
            "Nothing was taken from it; ask the bank which is right.",
            [f"{line.on} {line.amount} {line.words.strip()}" for line in lacking[:MANY]],
        )


def _opening_rows(
    sheet: Sheet, stored: Stored, start: Money | None, effects: Mapping[str, Money]
) -> tuple[NewLine, ...]:
    """The row that holds what lay in the account before the first statement; an older statement moves it back."""
    if sheet.start is None:
        day, first = sheet.end, stored.opening
        if first is not None or start is None or day is None:
            return ()
        return (_opening_row(day, start),)
    day = sheet.start - timedelta(days=1)
    old = stored.opening
    if old is None:
        return () if start is None else (_opening_row(day, start),)
    if sheet.start > old.on:
        return ()
    # The lines up to the old opening's day, new ones and stored ones alike, must lead from the one to the other.
    between = total(effects[row.ref] for row in sheet.rows if row.on <= old.on)
    before = old.amount - between if start is None else start
    if before + between != old.amount:
        raise BadInput(
            f"This statement begins at {before} and comes to {before + between} by {old.on}; the stored ones begin at "
            f"{old.amount}: {old.amount - before - between} apart. Import the statement in between first."
        )
    away = BankRow(f"{OPENING} {old.on} moved to {day}", old.on, old.amount, name="Opening balance", corrects=old.ref,
                   correction=DELETE)  # fmt: skip
    return (_opening_row(day, before), NewLine(away, -old.amount, old.ref))


def _opening_row(day: date, amount: Money) -> NewLine:
    row = BankRow(f"{OPENING} {day}", day, amount, name="Opening balance", kind="OPENING", correction="")
    return NewLine(row, amount)
