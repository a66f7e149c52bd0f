"""A statement file of any kind the program knows: bytes in, sheets out. Pure."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta

from fund.bank.rules import Sheet
from fund.bank.rules_camt import is_camt, read_camt
from fund.bank.rules_csv import CsvSpec, read_csv
from fund.bank.rules_ofx import is_ofx, read_ofx
from fund.bank.rules_text import parse_xml
from fund.refusal import BadInput

MAX_BYTES = 20 * 1024 * 1024
EARLIEST = date(2000, 1, 1)
MOST_SHEETS = 400  # statements in one file; a year of daily ones has 366


def size_sentence(size: int) -> str:
    return (
        f"The file is {size / 1024 / 1024:.1f} MB; a statement is read up to {MAX_BYTES // 1024 // 1024} MB. "
        "Download a shorter period."
    )


def read_statement(
    data: bytes, spec: CsvSpec | None, tick: Callable[[int], object] | None = None
) -> list[Sheet]:
    """The sheets of a file; ``spec`` is the layout of a CSV and None for OFX and camt.053.

    Refuses an empty or too large file, one that breaks off, a PDF or spreadsheet, and a CSV without a layout.
    """
    if len(data) > MAX_BYTES:
        raise BadInput(size_sentence(len(data)))
    if not data.strip():
        raise BadInput("The file is empty.")
    head = data[:4000].decode("latin-1")
    if head.startswith(("%PDF", "PK\x03\x04")):
        raise BadInput("This is a PDF or a spreadsheet. Download the statement as OFX, camt.053 or CSV.")
    if head.encode("latin-1")[:2] in (b"\xff\xfe", b"\xfe\xff") and spec is None:
        head = data[:4000].decode("utf-16", errors="replace")
    if spec is None and "<!DOCTYPE" in head.upper() and "<?XML" in head.upper():
        parse_xml(data)  # refuses it
    if is_camt(head):
        return _whole(read_camt(data))
    if is_ofx(head):
        return _whole(read_ofx(data))
    if spec is None:
        raise BadInput(
            "This is neither OFX nor camt.053. For a CSV, choose the layout that says what its columns hold."
        )
    return read_csv(data, spec, tick)


def _whole(sheets: list[Sheet]) -> list[Sheet]:
    """The sheets, if each holds a line or a balance and they are no more than a year of days."""
    if len(sheets) > MOST_SHEETS:
        raise BadInput(
            f"The file holds {len(sheets)} statements; up to {MOST_SHEETS} are read at once. Download a shorter period."
        )
    for number, sheet in enumerate(sheets, start=1):
        if not sheet.rows and sheet.opening is None and sheet.closing is None:
            which = f"Statement {number} in the file" if len(sheets) > 1 else "The statement in the file"
            raise BadInput(
                f"{which} has neither lines nor balances. Nothing was taken from it. Download it once more."
            )
    return sheets


def refuse_impossible_days(sheets: Sequence[Sheet], today: date) -> None:
    """Refuse a file with a line of a day still to come, or from before the year 2000: its dates were read or written wrong.

    The day of the closing balance may be tomorrow: some banks write it in a time zone that is ahead.
    """
    for sheet in sheets:
        early = next((row for row in sheet.rows if row.on < EARLIEST), None)
        if early is not None:
            raise BadInput(
                f"The line of {early.on} over {early.amount} is from before the year {EARLIEST.year}. Nothing was taken from the "
                "file. Look at its dates, and at the layout if it is a CSV."
            )
        late = next((row for row in sheet.rows if row.on > today), None)
        if late is not None:
            words = " ".join(filter(None, [late.name, late.text])) or late.ref
            raise BadInput(
                f"The line of {late.on} over {late.amount}, “{words[:60]}”, has not come yet (today is {today}). Nothing was "
                "taken from the file. Look at its dates, and at the layout if it is a CSV."
            )
        if sheet.closing_on is not None and sheet.closing_on > today + timedelta(days=1):
            raise BadInput(
                f"The closing balance stands for {sheet.closing_on}, which has not come yet (today is {today}). Nothing was "
                "taken from the file. Download it once more."
            )
