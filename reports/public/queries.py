"""The published months, and nothing else: one query for each page."""

from dataclasses import dataclass
from datetime import datetime

from reports.month.models import PublishedFile, PublishedMonth


def latest() -> PublishedMonth | None:
    return PublishedMonth.objects.order_by("-month", "-version").first()


def month_named(key: str) -> PublishedMonth | None:
    return PublishedMonth.objects.filter(month=key).order_by("-version").first()


def all_months() -> list[PublishedMonth]:
    """Every published month, newest first."""
    return list(PublishedMonth.objects.order_by("-month", "-version"))


@dataclass(frozen=True, slots=True)
class ServedFile:
    name: str
    content_type: str
    content: bytes
    sha256: str
    published_at: datetime


def file_named(key: str, name: str) -> ServedFile | None:
    row = (
        PublishedFile.objects.filter(published__month=key, name=name)
        .order_by("-published__version")
        .values_list("name", "content_type", "content", "sha256", "published__published_at")
        .first()
    )
    return ServedFile(row[0], row[1], bytes(row[2]), row[3], row[4]) if row else None
