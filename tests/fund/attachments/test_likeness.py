"""A copy of a picture looks like it, another paper does not."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from fund.access.models import Person
from fund.attachments.actions import store
from fund.attachments.likeness import ALIKE, apart, likeness
from fund.attachments.models import Attachment
from fund.attachments.queries import bits_apart
from tests.fund.receipts.draw.paper import draw, papers


def _jpeg(picture: Image.Image, quality: int = 80) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality)
    return out.getvalue()


def _kept(by: Person, data: bytes, subject: str, power: str = "receipt.see") -> Attachment:
    return store(by=by, upload=SimpleUploadedFile("slip.jpg", data), subject=subject, power=power)


@pytest.mark.parametrize("number", [0, 7, 20])
def test_a_copy_scaled_saved_anew_or_darker_is_alike(number: int) -> None:
    plain = draw(papers()[number] | {"harm": "none"})
    small = plain.resize((plain.width * 2 // 3, plain.height * 2 // 3))
    copies = [_jpeg(plain, 40), _jpeg(small), _jpeg(plain.point(lambda value: value * 0.8))]
    assert all(apart(likeness(_jpeg(plain)), likeness(copy)) <= ALIKE for copy in copies)


def test_a_picture_of_one_color_is_like_nothing() -> None:
    assert likeness(_jpeg(Image.new("RGB", (40, 40), "white"))) == ""


def test_how_far_a_kept_picture_is_from_another_is_told_by_their_hashes(volunteer: Person) -> None:
    plain = draw(papers()[0] | {"harm": "none"})
    kept = _kept(volunteer, _jpeg(plain), "R-00001")
    copy = _kept(volunteer, _jpeg(plain.resize((400, plain.height * 400 // plain.width)), 60), "R-00003")
    other = _kept(volunteer, _jpeg(draw(papers()[1])), "R-00002")
    near, far = bits_apart(kept.likeness, copy.likeness), bits_apart(kept.likeness, other.likeness)
    assert near is not None
    assert far is not None
    assert near <= ALIKE < far
    assert bits_apart(kept.likeness, "") is None
