"""What an upload is, is decided by its content; what is kept of it holds no place, camera or author."""

import io
import struct
import zlib

import pypdf
import pytest
from PIL import Image

from fund.attachments.documents import without_camera_data
from fund.attachments.rules import SIZE_LIMIT, clean, kind_of, shown_name
from fund.refusal import BadInput
from tests.fund.attachments.makers import pdf, pdf_with_camera_data, photo


@pytest.mark.parametrize(("kind", "kept"), [("JPEG", "jpeg"), ("PNG", "png"), ("HEIF", "jpeg")])
def test_a_photo_is_kept_without_place_and_camera(kind: str, kept: str) -> None:
    original = photo(kind)
    assert b"Somebody's Camera" in original
    result = clean(original, "counter.jpg")
    assert result.kind == kept == kind_of(result.data)
    assert (result.width, result.height) == (60, 40)
    with Image.open(io.BytesIO(result.data)) as picture:
        assert not picture.getexif()
        assert not picture.getexif().get_ifd(0x8825)
        left, right = picture.convert("RGB").getpixel((5, 20)), picture.convert("RGB").getpixel((55, 20))
    assert b"Somebody" not in result.data
    assert isinstance(left, tuple)
    assert isinstance(right, tuple)
    assert left[0] > 200 > 60 > left[2]
    assert right[2] > 200 > 60 > right[0]


def test_the_way_the_phone_was_held_is_made_real() -> None:
    result = clean(photo("JPEG", orientation=6), "counter.jpg")
    assert (result.width, result.height) == (40, 60)
    with Image.open(io.BytesIO(result.data)) as picture:
        top = picture.convert("RGB").getpixel((20, 5))
    # Orientation 6: the left edge of the stored picture is the top of the seen one.
    assert isinstance(top, tuple)
    assert top[0] > 200


def test_a_very_large_photo_is_made_smaller() -> None:
    result = clean(photo("JPEG", size=(4000, 3000)), "counter.jpg")
    assert (result.width, result.height) == (3200, 2400)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"MZ\x90\x00" + b"\0" * 200, "a Windows program"),
        (b"\x7fELF" + b"\0" * 200, "a Linux program"),
        (b"#!/bin/sh\necho hello\n", "a script"),
        (b"PK\x03\x04" + b"\0" * 200, "a packed archive"),
        (b"  <html><script>alert(1)</script></html>", "a web page"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "a web page"),
        (b"just words", "none of these"),
    ],
)
def test_a_photo_that_is_really_something_else_is_refused_by_what_it_is(data: bytes, words: str) -> None:
    with pytest.raises(BadInput, match="is not a photo") as refused:
        clean(data, "IMG_0001.jpg")
    assert words in refused.value.sentence
    assert "IMG_0001.jpg" in refused.value.sentence


def test_a_program_hung_on_behind_a_photo_is_not_kept() -> None:
    result = clean(photo() + b"MZ\x90\x00this is a program", "counter.jpg")
    assert b"this is a program" not in result.data


def test_a_program_behind_the_first_bytes_of_a_photo_is_refused() -> None:
    with pytest.raises(BadInput, match="does not open as a photo"):
        clean(b"\xff\xd8\xff\xe0MZ\x90\x00" + b"\0" * 500, "counter.jpg")


def test_a_photo_cut_off_on_the_way_is_refused() -> None:
    whole = photo(size=(900, 900))
    with pytest.raises(BadInput, match="cut off"):
        clean(whole[: len(whole) // 2], "counter.jpg")


@pytest.mark.parametrize("name", ["receipt.exe", "receipt.jpg.html", "receipt.svg"])
def test_an_ending_that_is_no_photo_is_refused_whatever_is_inside(name: str) -> None:
    with pytest.raises(BadInput, match="cannot be kept"):
        clean(photo(), name)


def test_a_photo_with_the_ending_of_another_kind_is_kept_for_what_it_is() -> None:
    assert clean(photo("PNG"), "IMG_0001.JPG").kind == "png"


def test_an_empty_and_an_oversized_file_are_refused() -> None:
    with pytest.raises(BadInput, match="is empty"):
        clean(b"", "counter.jpg")
    with pytest.raises(BadInput, match="more than 12 MB"):
        clean(b"\xff\xd8\xff" + b"\0" * SIZE_LIMIT, "counter.jpg")


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_opened() -> None:
    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    for side in (9_000, 60_000):
        head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
        bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")
        with pytest.raises(BadInput, match="64 million is the limit"):
            clean(bomb, "counter.png")


def test_a_document_is_kept_without_its_author() -> None:
    result = clean(pdf(), "invoice.pdf")
    assert result.kind == "pdf"
    assert b"Somebody Private" not in result.data
    reader = pypdf.PdfReader(io.BytesIO(result.data))
    assert len(reader.pages) == 1
    assert not reader.metadata


def test_a_scan_loses_the_camera_data_inside_its_picture() -> None:
    original = pdf_with_camera_data()
    assert b"Somebody's Camera" in original
    result = clean(original, "scan.pdf")
    assert b"Somebody" not in result.data
    images = pypdf.PdfReader(io.BytesIO(result.data)).pages[0].images
    assert images[0].image is not None
    assert images[0].image.size == (200, 300)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (pdf(script=True), "a script"),
        (pdf(inner_file=True), "another file inside"),
        (pdf(password="secret words"), "has a password"),
        (b"%PDF-1.7\nnothing more", "does not open as a PDF"),
    ],
    ids=["script", "inner file", "password", "broken"],
)
def test_a_document_that_could_act_or_hide_is_refused(data: bytes, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        clean(data, "invoice.pdf")


def test_camera_segments_go_and_the_picture_stays_byte_for_byte() -> None:
    original = photo(size=(80, 80))
    bare = without_camera_data(original)
    assert b"Exif" not in bare
    with Image.open(io.BytesIO(original)) as before, Image.open(io.BytesIO(bare)) as after:
        assert before.tobytes() == after.tobytes()


def test_a_shown_name_has_no_folders_and_no_hidden_marks() -> None:
    assert shown_name("C:\\photos\\a\u202egpj.exe") == "agpj.exe"
    assert shown_name("../../etc/passwd") == "passwd"
    assert shown_name("\n") == "file"
