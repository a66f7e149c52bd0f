"""A kept file has a name of our own, a power that guards it, and nothing is kept of what was refused."""

from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile

from fund.access.models import Person
from fund.attachments.actions import destroy, store
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from fund.attachments.rules import SIZE_LIMIT
from fund.refusal import BadInput, NotAllowed
from tests.fund.attachments.makers import photo


def _upload(data: bytes, name: str = "../../IMG 0001.JPG") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data)


def test_the_clean_copy_lies_under_media_root_by_its_own_name(volunteer: Person) -> None:
    kept = store(by=volunteer, upload=_upload(photo("HEIF")), subject="R-00001", power="receipt.see")
    path = file_of(kept)
    assert path.is_relative_to(Path(settings.MEDIA_ROOT))
    assert path.name == f"{kept.sha256}.jpg"
    assert (kept.code, kept.kind, kept.name, kept.size) == (
        "F-00001",
        "jpeg",
        "IMG 0001.JPG",
        path.stat().st_size,
    )
    assert b"Somebody" not in path.read_bytes()


def test_nothing_is_kept_of_what_is_refused(volunteer: Person) -> None:
    before = set(Path(settings.MEDIA_ROOT).rglob("*"))
    with pytest.raises(BadInput, match="a Windows program"):
        store(
            by=volunteer, upload=_upload(b"MZ\x90\x00", "photo.jpg"), subject="R-00001", power="receipt.see"
        )
    assert Attachment.objects.count() == 0
    assert set(Path(settings.MEDIA_ROOT).rglob("*")) == before


def test_fifty_megabytes_are_not_even_read(volunteer: Person) -> None:
    class Endless:
        name: str | None = "photo.jpg"
        asked = 0

        def read(self, num_bytes: int = -1, /) -> bytes:
            self.asked = num_bytes
            return b"\xff\xd8\xff" + b"\0" * num_bytes

    upload = Endless()
    with pytest.raises(BadInput, match="more than 12 MB"):
        store(by=volunteer, upload=upload, subject="R-00001", power="receipt.see")
    assert upload.asked == SIZE_LIMIT + 1


def test_who_may_not_see_it_may_not_put_it_there(screener: Person) -> None:
    with pytest.raises(NotAllowed):
        store(by=screener, upload=_upload(photo()), subject="R-00001", power="receipt.see")


def test_what_is_handed_over_may_be_brought_by_who_does_not_see_it_again(volunteer: Person) -> None:
    upload = SimpleUploadedFile("signed.jpg", photo())
    with pytest.raises(NotAllowed):
        store(by=volunteer, upload=upload, subject="RO-0001", power="household.papers")
    upload.seek(0)
    kept = store(by=volunteer, upload=upload, subject="RO-0001", power="household.papers", handed_over=True)
    assert kept.power == "household.papers"


def test_a_destroyed_file_is_gone_and_its_row_has_no_name(volunteer: Person) -> None:
    kept = store(
        by=volunteer, upload=SimpleUploadedFile("one.jpg", photo()), subject="R-00001", power="receipt.see"
    )
    same = store(
        by=volunteer, upload=SimpleUploadedFile("two.jpg", photo()), subject="R-00002", power="receipt.see"
    )
    destroy(kept)
    assert file_of(kept).is_file()  # another row shows the very same picture
    destroy(same)
    assert not file_of(kept).exists()
    assert set(Attachment.objects.values_list("name", "likeness")) == {("", "")}
