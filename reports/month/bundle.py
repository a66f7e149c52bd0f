"""The files of a published month: made once from its record, kept byte for byte, served and written out as they are."""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from pypdf import PdfReader

from fund.downloads import csv_value
from fund.pdf import render_pdf
from reports.charts.draw import svg
from reports.charts.rules import charts
from reports.charts.style import SCHEMES
from reports.month.rules_page import page_of, pdf_of
from reports.month.rules_record import canonical, digest

LINE_HEADS = ("entry", "line", "kind", "account", "account name", "purpose", "repair", "debit", "credit")
STYLES = ("book.css", "month.css")
# A zip holds a time for each file; this one makes the same files give the same zip.
ZIP_TIME = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class BundleFile:
    """One file of the bundle; ``name`` is its path inside it."""

    name: str
    content_type: str
    content: bytes

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def lines_csv(rows: Iterable[tuple[Any, ...]]) -> bytes:
    """The month's public lines as CSV (UTF-8, CRLF as RFC 4180 has it); amounts with two places."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(LINE_HEADS)
    writer.writerows([csv_value(value) for value in row] for row in rows)
    return out.getvalue().encode()


def build(text: str, lines: bytes, published_at: datetime) -> list[BundleFile]:
    """Every file of a month from its record (canonical text) and its lines."""
    record = json.loads(text)
    drawn = list(chart_files(record))
    light = {file.name.removeprefix("charts/"): file.content for file in drawn}
    return [
        BundleFile("record.json", "application/json", text.encode()),
        BundleFile("lines.csv", "text/csv; charset=utf-8", lines),
        *drawn,
        BundleFile("month.pdf", "application/pdf", month_pdf(record, light, published_at)),
        BundleFile("index.html", "text/html; charset=utf-8", index_page(record, text)),
        *(BundleFile(name, "text/css; charset=utf-8", _style(name)) for name in STYLES),
    ]


def chart_files(record: Mapping[str, Any]) -> Iterator[BundleFile]:
    for chart in charts(record):
        for ending, scheme in SCHEMES.items():
            yield BundleFile(f"charts/{chart.name}{ending}.svg", "image/svg+xml", svg(chart, scheme))


def month_pdf(record: Mapping[str, Any], drawings: Mapping[str, bytes], published_at: datetime) -> bytes:
    return render_pdf("month", pdf_of(record, digest(canonical(record))), files=drawings, at=published_at)


def index_page(record: Mapping[str, Any], text: str) -> bytes:
    """The page of the month for a folder on a disk: the same body as the public page, without the way around."""
    page = page_of(record, digest(text))
    return render_to_string("reports/month/bundle.html", {"page": page, "root": ""}).encode()


def _style(name: str) -> bytes:
    return (Path(settings.BASE_DIR) / "config" / "static" / "css" / name).read_bytes()


def readable(files: Iterable[BundleFile]) -> dict[str, str]:
    """The words of each file by its name, for the search before publishing. A PDF gives the words on its pages."""
    words = {}
    for file in files:
        if file.content_type == "application/pdf":
            words[file.name] = "\n".join(
                page.extract_text() for page in PdfReader(io.BytesIO(file.content)).pages
            )
        elif not file.name.endswith(".css"):
            words[file.name] = file.content.decode()
    return words


def write_out(files: Iterable[tuple[str, bytes]], folder: Path) -> list[Path]:
    """Write a bundle into a folder, making it when it is not there; files of the same name are replaced."""
    written = []
    for name, content in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        written.append(path)
    return written


def zipped(files: Iterable[tuple[str, bytes]], folder: str) -> bytes:
    """A bundle as one zip; the same files give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files:
            archive.writestr(zipfile.ZipInfo(f"{folder}/{name}", ZIP_TIME), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()
