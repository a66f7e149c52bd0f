"""Published months, proved again: the chain of records, their files, and their figures against the ledger."""

import csv
import hashlib
import io
import json
from collections.abc import Iterator

from reports.month.bundle import lines_csv
from reports.month.models import PublishedFile, PublishedMonth
from reports.month.queries import public_lines, published_chain
from reports.month.queries_ledger import ledger_of
from reports.month.rules_record import chain_breaks


def record_breaks() -> Iterator[str]:
    """Every record gives its digest and carries the digest of the one before it."""
    yield from chain_breaks(published_chain())


def file_breaks() -> Iterator[str]:
    """Every file of a published month is the one that was published; the record among them is the record."""
    rows = PublishedFile.objects.select_related("published").order_by("published__month", "name")
    for file in rows.iterator(20):
        found = hashlib.sha256(file.content).hexdigest()
        if found != file.sha256:
            yield f"{file.published.month}: the file {file.name} was changed after it was published."
        if file.name == "record.json" and bytes(file.content) != file.published.record.encode():
            yield f"{file.published.month}: the file record.json is not the record that was published."


def figure_breaks() -> Iterator[str]:
    """The totals of every published month are those that the ledger gives today."""
    for month, text in PublishedMonth.objects.order_by("month").values_list("month", "record"):
        try:
            record = json.loads(text)
            said = [record[key] for key in ("opening", "total_in", "total_out", "closing")]
        except (ValueError, KeyError, TypeError):
            yield f"{month}: the record cannot be read."
            continue
        ledger, _ = ledger_of(month)
        now = [ledger.opening.minor, ledger.total_in.minor, ledger.total_out.minor, ledger.closing.minor]
        if said != now:
            yield f"{month}: published {said}, but the ledger gives {now} (opening, in, out, closing, in cents)."


# Of a line's columns those that only a posting gives; the names beside them may be written better later.
_POSTED = (0, 1, 2, 3, 5, 7, 8)


def _posted(text: bytes) -> dict[tuple[str, ...], list[str]]:
    rows = list(csv.reader(io.StringIO(text.decode(errors="replace"))))[1:]
    return {(row[0], row[1]): [row[place] for place in _POSTED] for row in rows if len(row) > max(_POSTED)}


def line_breaks() -> Iterator[str]:
    """The lines that were published with a month are those of the ledger today, one by one."""
    files = PublishedFile.objects.filter(name="lines.csv").select_related("published")
    for file in files.order_by("published__month", "published__version").iterator(20):
        month = file.published.month
        then, now = _posted(bytes(file.content)), _posted(lines_csv(public_lines(month)))
        for entry, ordinal in sorted({*then, *now}, key=lambda key: [part.zfill(12) for part in key]):
            if then.get((entry, ordinal)) != now.get((entry, ordinal)):
                yield f"{month}: line {ordinal} of entry {entry} is not what was published."


MONTH_PROOFS = (
    ("published records are chained and unchanged", record_breaks),
    ("published files are unchanged", file_breaks),
    ("published months agree with the ledger", figure_breaks),
    ("the lines of published months are those of the ledger", line_breaks),
)
