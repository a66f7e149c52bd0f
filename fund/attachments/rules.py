"""What may be uploaded, and what is kept of it. Pure: bytes in, clean bytes out.

A file is judged by what is in it. Pictures are drawn anew and documents written anew, so that the place
where a photo was taken, the camera's owner and the author's name are gone from what is kept.
Limits follow OWASP ASVS 5.0, 5.2.1 to 5.2.6 (sizes, content, pixel size) and 14.2.8 (metadata of uploads).
"""

from dataclasses import dataclass
from pathlib import PurePath

from fund.attachments.documents import clean_pdf
from fund.attachments.pictures import clean_picture
from fund.refusal import BadInput

SIZE_LIMIT = 12 * 1024 * 1024
ENDINGS = ("", ".jpg", ".jpeg", ".png", ".heic", ".heif", ".pdf")
# What the first bytes of a file say it is; read before any library opens it.
_PROGRAMS = (
    (b"MZ", "a Windows program"),
    (b"\x7fELF", "a Linux program"),
    (b"\xcf\xfa\xed\xfe", "a Mac program"),
    (b"\xca\xfe\xba\xbe", "a program"),
    (b"#!", "a script"),
    (b"PK\x03\x04", "a packed archive"),
    (b"\x1f\x8b", "a packed archive"),
    (b"Rar!", "a packed archive"),
    (b"7z\xbc\xaf", "a packed archive"),
)
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


@dataclass(frozen=True, slots=True)
class CleanFile:
    """What is kept: ``kind`` is jpeg, png or pdf; ``width`` and ``height`` in pixels (0 for a document)."""

    kind: str
    data: bytes
    width: int = 0
    height: int = 0


def kind_of(data: bytes) -> str:
    """jpeg, png, heic, pdf or "" by the first bytes."""
    if data.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "heic"
    return "pdf" if data.startswith(b"%PDF-") else ""


def clean(data: bytes, name: str) -> CleanFile:
    """The clean file, or BadInput with a sentence that says what is wrong with it.

    Refuses: an empty file, more than 12 MB, an ending (if there is one) that no photo or document has,
    content that is no JPEG, PNG, HEIC or PDF, a picture that does not open or has more than 64 million
    pixels, a document with scripts, embedded files or a password.
    """
    shown = shown_name(name)
    if not data:
        raise BadInput(f"“{shown}” is empty. Choose the file again.")
    if len(data) > SIZE_LIMIT:
        raise BadInput(f"“{shown}” has more than 12 MB, the limit. Take the photo at a smaller size.")
    if PurePath(name).suffix.lower() not in ENDINGS:
        raise BadInput(f"“{shown}” cannot be kept. A photo (JPEG, PNG, HEIC) or a PDF is what fits here.")
    kind = kind_of(data)
    if not kind:
        raise BadInput(_not_a_photo(data, shown))
    if kind == "pdf":
        return CleanFile("pdf", clean_pdf(data, shown))
    kept, written, size = clean_picture(data, kind, shown)
    return CleanFile(kept, written, *size)


def shown_name(name: str) -> str:
    """The uploaded name, as shown: no folders, no control or direction marks, 80 characters at most."""
    base = PurePath(name.replace("\\", "/")).name
    return "".join(mark for mark in base if mark.isprintable())[:80] or "file"


def _not_a_photo(data: bytes, shown: str) -> str:
    head = data[:512].lstrip().lower()
    found = next((words for start, words in _PROGRAMS if data.startswith(start)), "")
    if not found and (head.startswith((b"<html", b"<!doctype", b"<script", b"<svg", b"<?xml"))):
        found = "a web page"
    inside = f"Inside it is {found}." if found else "What is inside it is none of these."
    return f"“{shown}” is not a photo (JPEG, PNG, HEIC) or a PDF. {inside} Nothing of it was kept."
