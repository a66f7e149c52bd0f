"""A kept file is shown to those who hold its power, under our own name, never stored on the way; strangers get 404."""

from collections.abc import Callable

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fund.access.models import Person
from fund.attachments.actions import store
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from tests.fund.attachments.makers import pdf, photo

ClientFor = Callable[[Person], Client]


@pytest.fixture
def kept(volunteer: Person) -> Attachment:
    return store(
        by=volunteer,
        upload=SimpleUploadedFile("evil\r\n.jpg", photo()),
        subject="R-00001",
        power="receipt.see",
    )


def _address(attachment: Attachment) -> str:
    return reverse("attachments:file", args=[attachment.code])


def test_it_is_sent_with_its_own_name_and_not_stored_on_the_way(
    kept: Attachment, volunteer: Person, client_for: ClientFor
) -> None:
    answer = client_for(volunteer).get(_address(kept))
    assert answer.status_code == 200
    assert answer.content == file_of(kept).read_bytes()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Content-Disposition"] == 'inline; filename="F-00001.jpg"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"


def test_a_document_is_sent_to_be_saved(volunteer: Person, client_for: ClientFor) -> None:
    kept = store(
        by=volunteer, upload=SimpleUploadedFile("a.pdf", pdf()), subject="R-00001", power="receipt.see"
    )
    answer = client_for(volunteer).get(_address(kept))
    assert answer["Content-Disposition"] == 'attachment; filename="F-00001.pdf"'


def test_a_stranger_is_not_told_that_it_exists(kept: Attachment, client: Client) -> None:
    assert client.get(_address(kept)).status_code == 404


def test_crew_without_the_power_is_told_who_has_it(
    kept: Attachment, screener: Person, client_for: ClientFor
) -> None:
    answer = client_for(screener).get(_address(kept))
    assert answer.status_code == 403
    assert "volunteer" in answer.content.decode()


def test_a_file_that_is_gone_and_a_code_that_never_was_are_404(
    kept: Attachment, volunteer: Person, client_for: ClientFor
) -> None:
    assert client_for(volunteer).post(_address(kept)).status_code == 405
    assert client_for(volunteer).get(reverse("attachments:file", args=["F-09999"])).status_code == 404
    file_of(kept).unlink()
    assert client_for(volunteer).get(_address(kept)).status_code == 404
