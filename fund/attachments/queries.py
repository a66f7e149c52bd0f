from pathlib import Path

from django.conf import settings

from fund.attachments.likeness import apart
from fund.attachments.models import Attachment


def file_of(attachment: Attachment) -> Path:
    """Where the kept file lies. The path is made by ``actions.store`` alone, never from what was typed."""
    return Path(settings.MEDIA_ROOT) / attachment.path


def bits_apart(one: str, other: str) -> int | None:
    """How far two pictures are apart by their hashes; None if one of them has none."""
    return apart(one, other) if one and other else None
