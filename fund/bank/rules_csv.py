"""CSV by a saved layout: which column holds what, how it writes signs, days and amounts. Pure."""

import codecs
import csv
import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from fund.bank.rules import CSV, BankRow, Sheet, with_own_refs
from fund.bank.rules_text import clean, made_refs, row_money
from fund.money import Money
from fund.refusal import BadInput

SIGNED, TWO_COLUMNS, MARKED = "signed", "two columns", "marked"
SIGNS = {
    SIGNED: "one column, money out is negative",
    TWO_COLUMNS: "two columns, one for money in and one for money out",
    MARKED: "one column without a sign, and a column that says in or out",
}
FIELDS = {
    "date": "Date",
    "amount": "Amount",
    "out": "Money out (with two columns)",
    "mark": "In or out (with a mark)",
    "ref": "The bank's reference",
    "name": "Who",
    "text": "Words",
    "check_number": "Check number",
    "balance": "Balance after the line",
}
DATE_ORDERS = {
    "YMD": "year, month, day (2026-03-14)",
    "MDY": "month, day, year (03/14/2026)",
    "DMY": "day, month, year (14.03.2026)",
}
DECIMAL_MARKS = {".": "point: 1,184.00", ",": "comma: 1.184,00"}
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
ENCODINGS = {
    "utf-8": "UTF-8",
    "cp1252": "Windows Western (cp1252)",
    "latin-1": "ISO Latin 1",
    "utf-16": "UTF-16",
}


@dataclass(frozen=True)
class CsvSpec:
    """One layout. ``columns`` maps a field of FIELDS to the header in the file; ``out_words`` mark money out."""

    name: str
    columns: Mapping[str, str]
    signs: str = SIGNED
    out_words: tuple[str, ...] = ()
    date_order: str = "YMD"
    decimal_mark: str = "."
    delimiter: str = ","
    encoding: str = "utf-8"
    lines_before: int = 0


def check_spec(spec: CsvSpec) -> None:
    """Refuse a layout that cannot read a statement, with every reason at once."""
    needed = ["date", "amount"] + {TWO_COLUMNS: ["out"], MARKED: ["mark"]}.get(spec.signs, [])
    wrong = [
        f"Name the column that holds: {FIELDS[field]}." for field in needed if not spec.columns.get(field)
    ]
    wrong += [
        f"“{field}” is not something a layout can read." for field in spec.columns if field not in FIELDS
    ]
    headers = list(spec.columns.values())
    wrong += [
        f"The column “{header}” is named twice."
        for header in sorted(set(headers))
        if headers.count(header) > 1
    ]
    if spec.signs == MARKED and not spec.out_words:
        wrong.append("Say which words mean money out, for example: D, Debit.")
    choices = (
        (spec.signs, SIGNS),
        (spec.date_order, DATE_ORDERS),
        (spec.decimal_mark, DECIMAL_MARKS),
        (spec.delimiter, DELIMITERS),
    )
    wrong += [f"“{value}” is not one of the choices." for value, known in choices if value not in known]
    if spec.decimal_mark == spec.delimiter:
        wrong.append("The decimal mark and the delimiter cannot both be a comma.")
    if not 0 <= spec.lines_before <= 100:
        wrong.append("At most 100 lines may stand before the header.")
    try:
        codecs.lookup(spec.encoding)
    except LookupError:
        wrong.append(f"“{spec.encoding}” is not an encoding.")
    if wrong:
        raise BadInput("The layout cannot be used yet.", wrong)


def read_csv(data: bytes, spec: CsvSpec, tick: Callable[[int], object] | None = None) -> list[Sheet]:
    """The statement in a CSV file. Row 1 is the first line of the file, as a spreadsheet shows it.

    With a balance column each balance must follow from the one before; lines may run from old to new or from new to
    old. Refuses (BadInput) naming row and reason.
    """
    records = _records(_decode(data, spec), spec)
    skipped = spec.lines_before
    header = [cell.strip() for cell in records[skipped]] if len(records) > skipped else []
    missing = [f"The column “{name}” is missing." for name in spec.columns.values() if name not in header]
    if missing:
        raise BadInput(f"The columns of the file are not those of the layout “{spec.name}”.", missing)
    place = {field: header.index(name) for field, name in spec.columns.items()}
    rows: list[BankRow] = []
    balances: list[Money | None] = []
    for number, cells in enumerate(records[skipped + 1 :], start=skipped + 2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) < len(header):
            raise BadInput(
                f"The file breaks off in row {number}: {len(cells)} of {len(header)} columns. Export it again."
            )
        told = {field: cells[at].strip() for field, at in place.items()}
        rows.append(_row(told, spec, f"Row {number}"))
        balances.append(
            row_money(told["balance"], f"Row {number}", spec.decimal_mark) if told.get("balance") else None
        )
        if tick and number % 500 == 0:
            tick(500)
    if not rows:
        raise BadInput("The file has a header and no lines.")
    rows, balances = _old_to_new(rows, balances)
    return [_with_balances(rows, balances)]


def _decode(data: bytes, spec: CsvSpec) -> str:
    encoding = "utf-8-sig" if spec.encoding.lower().replace("_", "-") in ("utf-8", "utf8") else spec.encoding
    try:
        text = data.decode(encoding)
    except UnicodeError as error:
        row = data.count(b"\n", 0, getattr(error, "start", 0)) + 1
        raise BadInput(
            f"The file is not {spec.encoding} text: row {row} holds a byte that cannot be read."
        ) from error
    if "\0" in text:
        raise BadInput("The file is not a text file. Export it from the bank as CSV.")
    return text


def _records(text: str, spec: CsvSpec) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=spec.delimiter, strict=True)
    try:
        return list(reader)
    except csv.Error as error:
        raise BadInput(
            f"The file breaks off near line {reader.line_num}: {error}. Export it again."
        ) from error


def _row(told: dict[str, str], spec: CsvSpec, where: str) -> BankRow:
    return BankRow(
        ref=clean(told.get("ref", ""), 90),
        on=_day(told["date"], spec.date_order, where),
        amount=_amount(told, spec, where),
        name=clean(told.get("name", ""), 140),
        text=clean(told.get("text", ""), 300),
        check_number=clean(told.get("check_number", ""), 20),
    )


def _amount(told: dict[str, str], spec: CsvSpec, where: str) -> Money:
    if spec.signs == TWO_COLUMNS:
        into, out = (
            row_money(told[field], where, spec.decimal_mark) if told[field] else Money.zero
            for field in ("amount", "out")
        )
        if (into and out) or not (told["amount"] or told["out"]):
            raise BadInput(f"{where}: exactly one of money in and money out must be filled.")
        return into - abs(out)
    amount = row_money(told["amount"], where, spec.decimal_mark)
    if spec.signs == MARKED:
        out_words = {word.casefold() for word in spec.out_words}
        return -abs(amount) if told["mark"].casefold() in out_words else abs(amount)
    return amount


def _day(text: str, order: str, where: str) -> date:
    parts = text.replace("/", "-").replace(".", "-").split("T")[0].split(" ")[0].strip("-").split("-")
    try:
        if len(parts) == 1 and len(parts[0]) == 8 and order == "YMD":
            parts = [text[:4], text[4:6], text[6:8]]
        values = dict(zip(order, (int(part) for part in parts), strict=True))
        year = values["Y"] + (2000 if values["Y"] < 100 else 0)
        return date(year, values["M"], values["D"])
    except ValueError as error:
        raise BadInput(f"{where}: “{text[:30]}” is not a date in the order {DATE_ORDERS[order]}.") from error


def _old_to_new(
    rows: list[BankRow], balances: list[Money | None]
) -> tuple[list[BankRow], list[Money | None]]:
    """Turned round if the bank writes the newest line first."""
    days = [row.on for row in rows]
    falls = days != sorted(days) and days == sorted(days, reverse=True)
    if (
        not falls
        and len(set(days)) == 1
        and len(rows) > 1
        and balances[0] is not None
        and balances[1] is not None
    ):
        falls = balances[0] + rows[1].amount != balances[1] and balances[1] + rows[0].amount == balances[0]
    return (rows[::-1], balances[::-1]) if falls else (rows, balances)


def _with_balances(rows: list[BankRow], balances: list[Money | None]) -> Sheet:
    opening = closing = None
    running: Money | None = None
    for row, balance in zip(rows, balances, strict=True):
        if balance is not None:
            if running is None:
                opening = balance - row.amount
            elif running + row.amount != balance:
                raise BadInput(
                    f"After the line of {row.on} over {row.amount} the balance should be {running + row.amount}, the file "
                    f"says {balance}: {balance - running - row.amount} apart. A line is missing or was changed."
                )
            running = closing = balance
        elif running is not None:
            running = closing = running + row.amount
    if balances[0] is None:
        opening = None  # lines stand before the first balance
    return Sheet(
        CSV,
        with_own_refs(rows, made_refs(rows)),
        opening=opening,
        closing=closing if opening is not None else None,
        closing_on=max(row.on for row in rows) if opening is not None else None,
    )
