"""Reading a payout file: bytes and a layout in, typed rows and named problems out. No database, no clock.

Money is parsed from text and never passes through a float. A problem of one row is collected with its row
number (the header is row 1, as a spreadsheet shows it); a problem of the whole file is refused at once.
"""

import csv
import hashlib
import io
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from fund.gifts.rules_layout import DECLINED, LayoutSpec
from fund.gifts.rules_rows import EARLIEST, FileRow, Problem, RowParser, RowProblem
from fund.refusal import BadInput

MAX_BYTES = 10 * 1024 * 1024
READ_STEP = 500  # rows between two words about how far it is


class FileReading(NamedTuple):
    rows: list[FileRow]
    problems: list[Problem]
    skipped: list[tuple[int, str]]
    sha256: str
    declines: Sequence[FileRow] = ()


def read_file(
    data: bytes,
    layout: LayoutSpec,
    *,
    today: date,
    earliest: date = EARLIEST,
    tick: Callable[[int], object] | None = None,
) -> FileReading:
    """Read a platform's file. `tick` is called with the number of rows read since the last call. Rows are dated from
    `earliest` to `today`.

    Refuses (BadInput): a file over 10 MB, an empty one, bytes that are not in the layout's encoding, a column
    the layout does not know, a column it expects and does not find.
    """
    if len(data) > MAX_BYTES:
        raise BadInput(size_sentence(len(data)))
    records = _records(decoded(data, layout), layout)
    header = [cell.strip() for cell in next(records, [])]
    _check_header(header, layout)
    parser = RowParser(header, layout, today, earliest)
    rows: list[FileRow] = []
    problems: list[Problem] = []
    skipped: list[tuple[int, str]] = []
    declines: list[FileRow] = []
    seen: dict[str, int] = {}
    for number, cells in enumerate(records, start=2):
        if tick and number % READ_STEP == 0:
            tick(READ_STEP)
        if not any(cells):
            continue
        try:
            row = parser.read(number, cells)
            if row is None:
                skipped.append((number, "no money moved"))
                continue
            if row.kind == DECLINED:
                skipped.append((number, "the card was declined and is tried again"))
                declines.append(row)
                continue
            if row.ref in seen:
                raise RowProblem(layout.columns["ref"], f"“{row.ref}” already stands in row {seen[row.ref]}.")
        except RowProblem as problem:
            problems.append(Problem(number, problem.column, problem.reason))
            continue
        seen[row.ref] = number
        rows.append(row)
    if not rows and not problems and not declines:
        raise BadInput("The file has a header but no row that moved money.")
    return FileReading(rows, problems, skipped, hashlib.sha256(data).hexdigest(), declines)


def size_sentence(size: int) -> str:
    """What is said of a file of this many bytes when it is too large to be read."""
    return (
        f"The file is {size / 1024 / 1024:.1f} MB; a payout file is read up to {MAX_BYTES // 1024 // 1024} MB. "
        "Export a shorter period."
    )


def decoded(data: bytes, layout: LayoutSpec) -> str:
    """The text of a file in the layout's encoding. Refuses an empty file and bytes that are no text."""
    if not data.strip():
        raise BadInput("The file is empty.")
    encoding = (
        "utf-8-sig" if layout.encoding.replace("_", "-").lower() in ("utf-8", "utf8") else layout.encoding
    )
    try:
        text = data.decode(encoding)
    except UnicodeError as error:
        start = getattr(error, "start", 0)
        row = data.count(b"\n", 0, start) + 1
        raise BadInput(
            f"The file is not {layout.encoding} text: row {row} holds a byte that cannot be read. "
            f"Save it again as {layout.encoding}, or set the layout's encoding to what the platform uses."
        ) from error
    if "\0" in text:
        raise BadInput("The file is not a text file. Export it from the platform as CSV.")
    return text


def _records(text: str, layout: LayoutSpec) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=layout.delimiter, strict=True)
    try:
        yield from reader
    except csv.Error as error:
        raise BadInput(
            f"The file breaks off near line {reader.line_num}: {error}. Export it again."
        ) from error


def _check_header(header: list[str], layout: LayoutSpec) -> None:
    wrong = [f"The column “{name}” is missing." for name in layout.headers if name not in header]
    known = {*layout.headers, *layout.ignored}
    wrong += [
        f"The layout does not know the column “{name or '(no name)'}”."
        for name in header
        if name not in known
    ]
    wrong += [f"The column “{name}” stands twice." for name in sorted(set(header)) if header.count(name) > 1]
    if wrong:
        wrong.append("If a new column carries no money, add it to the ignored columns of the layout.")
        raise BadInput(f"The columns of the file are not those of the layout “{layout.name}”.", wrong)
