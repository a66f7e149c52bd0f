import hashlib
import os
import tempfile
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.db import transaction

from fund import clock
from fund.access.guards import may
from fund.access.models import Person
from fund.access.powers import POWERS, no_power_sentence
from fund.attachments.likeness import likeness
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from fund.attachments.rules import SIZE_LIMIT, clean, shown_name
from fund.numbers import next_code
from fund.refusal import NotAllowed
from fund.trail.actions import record

_ENDINGS = {"jpeg": ".jpg", "png": ".png", "pdf": ".pdf"}


class Upload(Protocol):
    """What a form field or a test hands over (Django's UploadedFile fits)."""

    name: str | None

    def read(self, num_bytes: int = ..., /) -> bytes: ...


@transaction.atomic
def store(*, by: Person, upload: Upload, subject: str, power: str, handed_over: bool = False) -> Attachment:
    """Verify a photo or PDF by its content and keep a clean copy of it, without location or other metadata.

    ``subject`` is the code of the record it belongs to; ``power`` is who may see it, and ``by`` must hold it unless the
    file is ``handed_over``: brought by somebody who does not see it again, by an action that asked for a power of its own.
    Refuses (BadInput) what ``rules.clean`` refuses; nothing is kept then.
    """
    if power not in POWERS:
        raise ValueError(f"no such power: {power}")
    if not handed_over and not may(by, power):
        raise NotAllowed(no_power_sentence(power))
    # One byte more than the limit is enough to see that it is passed; the rest is never read.
    data = upload.read(SIZE_LIMIT + 1)
    name = upload.name or "file"
    kept = clean(data, name)
    digest = hashlib.sha256(kept.data).hexdigest()
    path = f"attachments/{digest[:2]}/{digest}{_ENDINGS[kept.kind]}"
    _write(Path(settings.MEDIA_ROOT) / path, kept.data)
    attachment = Attachment.objects.create(
        code=next_code(Attachment, "code", "F-", width=5),
        kind=kept.kind,
        path=path,
        sha256=digest,
        upload_sha256=hashlib.sha256(data).hexdigest(),
        size=len(kept.data),
        width=kept.width,
        height=kept.height,
        likeness=likeness(kept.data) if kept.width else "",
        name=shown_name(name),
        power=power,
        subject=subject,
        uploaded_by=by,
        uploaded_at=clock.now(),
    )
    record(
        by=by,
        action="file.store",
        subject=subject,
        text=f"{attachment.code} ({kept.kind}) kept with {subject}.",
    )
    return attachment


def destroy(attachment: Attachment) -> None:
    """Part of an action, inside its transaction and last in it: delete the file; the row stays, without a name.

    A file lies under the name of its content, so it stays while another row shows the very same picture. A row
    without a name is one whose file was destroyed: ``store`` writes none.
    """
    Attachment.objects.filter(pk=attachment.pk).update(name="", likeness="")
    if not Attachment.objects.filter(path=attachment.path).exclude(name="").exists():
        file_of(attachment).unlink(missing_ok=True)


def _write(target: Path, data: bytes) -> None:
    """Whole or not at all. The name comes from the content, so a second writing of it changes nothing."""
    if target.exists():
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=target.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
    Path(temporary).chmod(0o640)
    Path(temporary).replace(target)
