"""Documents written anew: pages only, no scripts, no files inside, no author."""

import io
import logging
from collections.abc import Iterator
from typing import Any

import pypdf
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, StreamObject

from fund.refusal import BadInput

PAGE_LIMIT = 40
OBJECT_LIMIT = 50_000
# Names in a PDF that make it do something (ISO 32000-1: 12.6.4 actions, 7.11.4 embedded files, 12.7.8 forms).
_SCRIPTS = ("/JS", "/JavaScript", "/XFA")
_ACTIONS = (
    "/JavaScript",
    "/Launch",
    "/ImportData",
    "/SubmitForm",
    "/GoToE",
    "/GoToR",
    "/Rendition",
    "/Movie",
    "/Sound",
)
_FILES = ("/EmbeddedFiles", "/EmbeddedFile", "/EF", "/RichMedia")
_TRACES = ("/Metadata", "/PieceInfo", "/LastModified", "/AF", "/Thumb", "/AA", "/OpenAction")

logging.getLogger("pypdf").setLevel(logging.ERROR)


def clean_pdf(data: bytes, shown: str) -> bytes:
    """The same pages in a new document without metadata. Refuses what the module's tables name."""
    try:
        reader = pypdf.PdfReader(io.BytesIO(data))
        if reader.is_encrypted:
            raise BadInput(f"“{shown}” has a password. Save it without one and choose it again.")
        pages = len(reader.pages)
        if not 1 <= pages <= PAGE_LIMIT:
            raise BadInput(f"“{shown}” has {pages} pages; 1 to {PAGE_LIMIT} fit here.")
        for part in _parts(reader.trailer):
            _judge(part, shown)
        return _rewritten(reader)
    except BadInput:
        raise
    # pypdf answers a broken file with many kinds of error; to the person they are all one.
    except Exception as error:
        raise BadInput(f"“{shown}” does not open as a PDF. It may be cut off; save it again.") from error


def _parts(root: DictionaryObject) -> Iterator[DictionaryObject]:
    """Every dictionary and stream that can be reached, each once."""
    waiting: list[Any] = [root]
    seen: set[int] = set()
    count = 0
    while waiting:
        item = waiting.pop()
        if isinstance(item, IndirectObject):
            if item.idnum in seen:
                continue
            seen.add(item.idnum)
            item = item.get_object()
        count += 1
        if count > OBJECT_LIMIT * 10 or len(seen) > OBJECT_LIMIT:
            raise BadInput("This PDF is too involved to be verified. Take a photo of the paper in its place.")
        if isinstance(item, DictionaryObject):
            yield item
            waiting.extend(item.values())
        elif isinstance(item, ArrayObject):
            waiting.extend(item)


def _judge(part: DictionaryObject, shown: str) -> None:
    action, kind = part.get("/S"), part.get("/Type")
    if any(name in part for name in _SCRIPTS) or action in _ACTIONS:
        raise BadInput(f"“{shown}” has a script or an action in it. Print it to a new PDF, or take a photo.")
    inner = part.get("/Subtype") in ("/FileAttachment", "/RichMedia") or kind in _FILES
    if inner or any(name in part for name in _FILES):
        raise BadInput(f"“{shown}” has another file inside. Print it to a new PDF, or take a photo of it.")


def _rewritten(reader: pypdf.PdfReader) -> bytes:
    writer = pypdf.PdfWriter()
    for page in reader.pages:
        writer.add_page(page)
    for part in _parts(writer.root_object):
        for name in _TRACES:
            if name in part:
                del part[name]
        if isinstance(part, StreamObject) and part.get("/Filter") in ("/DCTDecode", ["/DCTDecode"]):
            # A photo inside a scanned document carries the camera's own data too.
            part._data = without_camera_data(part._data)
    writer.metadata = None
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def without_camera_data(jpeg: bytes) -> bytes:
    """A JPEG without its Exif, XMP, Photoshop and comment segments; the picture itself is not touched.

    Segments as in ITU-T T.81, annex B: marker FF xx, then a two-byte length that counts itself.
    """
    if not jpeg.startswith(b"\xff\xd8"):
        return jpeg
    kept, at = [jpeg[:2]], 2
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF and jpeg[at + 1] != 0xDA:
        end = at + 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
        # APP0 and APP14 say how colors are coded; the other APPn and COM tell of its making.
        if jpeg[at + 1] in (0xE0, 0xEE) or not (0xE0 <= jpeg[at + 1] <= 0xEF or jpeg[at + 1] == 0xFE):
            kept.append(jpeg[at:end])
        at = end
    return b"".join([*kept, jpeg[at:]])
