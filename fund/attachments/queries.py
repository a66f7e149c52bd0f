from pathlib import Path

from django.conf import settings

from fund.attachments.likeness import apart
from fund.attachments.models import Attachment


def file_of(attachment: Attachment) -> Path:
    """Where the kept file lies. The path is made by ``actions.store`` alone, never from what was typed."""
    return Path(settings.MEDIA_ROOT) / attachment.path


def seen_before(attachment: Attachment) -> list[str]:
    """Codes of the other records that carry the very same upload."""
    same = Attachment.objects.filter(upload_sha256=attachment.upload_sha256)
    others = same.exclude(subject=attachment.subject).order_by("subject")
    return list(others.values_list("subject", flat=True).distinct())


def bits_apart(one: str, other: str) -> int | None:
    """How far two pictures are apart by their hashes; None if one of them has none."""
    return apart(one, other) if one and other else None
