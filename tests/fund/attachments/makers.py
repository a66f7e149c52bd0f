"""Files as phones and scanners make them, drawn here so that each holds what must be taken out."""

import io
from typing import Any

import pypdf
from PIL import Image
from pypdf.generic import DictionaryObject, NameObject, TextStringObject

NORTH = (44.0, 58.0, 12.5)


def _exif(orientation: int = 1) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "Somebody's Camera"
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", NORTH, "W", (93.0, 15.0, 55.0)
    return exif


def photo(kind: str = "JPEG", size: tuple[int, int] = (60, 40), orientation: int = 1) -> bytes:
    """A picture, red on the left half and blue on the right, with a place and a maker in its Exif."""
    picture = Image.new("RGB", size, "blue")
    picture.paste("red", (0, 0, size[0] // 2, size[1]))
    out = io.BytesIO()
    picture.save(out, kind, exif=_exif(orientation))
    return out.getvalue()


def pdf(*, script: bool = False, inner_file: bool = False, scan: bool = False, password: str = "") -> bytes:
    writer = pypdf.PdfWriter()
    if scan:
        page = io.BytesIO()
        Image.open(io.BytesIO(photo(size=(200, 300)))).save(page, "PDF")
        writer.append(io.BytesIO(page.getvalue()))
    else:
        writer.add_blank_page(200, 300)
    writer.add_metadata({"/Author": "Somebody Private", "/Title": "counter receipt"})
    if script:
        act = {
            NameObject("/S"): NameObject("/JavaScript"),
            NameObject("/JS"): TextStringObject("app.alert(1)"),
        }
        writer.root_object[NameObject("/OpenAction")] = writer._add_object(DictionaryObject(act))
    if inner_file:
        writer.add_attachment("more.bin", b"MZ\x90\x00")
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def pdf_with_camera_data() -> bytes:
    """A scanned page whose picture still carries the phone's Exif, byte for byte."""
    reader = pypdf.PdfReader(io.BytesIO(pdf(scan=True)))
    writer = pypdf.PdfWriter()
    page = writer.add_page(reader.pages[0])
    resources = page["/Resources"].get_object()
    assert isinstance(resources, DictionaryObject)
    images = resources["/XObject"].get_object()
    assert isinstance(images, DictionaryObject)
    image: Any = next(iter(images.values())).get_object()
    image._data = photo(size=(200, 300))
    image[NameObject("/Filter")] = NameObject("/DCTDecode")
    maker = DictionaryObject({NameObject("/Maker"): TextStringObject("Somebody's Scanner")})
    page[NameObject("/PieceInfo")] = maker
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
