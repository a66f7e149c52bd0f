"""The pages of a PDF, read in a process of its own that can be stopped: a hostile file may keep the library busy for ever.

``python -m fund.receipts.reading.pages FILE FOLDER`` prints JSON: ``rows`` (text and score of each row of print), or
``pictures``, the names of the scanned pages it put into the folder. It needs no Django, no key and no database.
"""

import json
import sys
from pathlib import Path

from PIL import Image
from pypdf import PageObject, PdfReader

from fund.receipts.reading.rules import Row

PAGES = 3  # a receipt is no book; more pages only cost time
PIXELS = 40_000_000  # of a scanned page: a sheet of paper at 600 dots an inch
LONG_SIDE = 1600  # more pixels take longer and read no better


def text_of(pages: list[PageObject]) -> list[Row]:
    """The text as it stands on the pages, so that an amount stays in the row of its words.

    Text is certain (score 1.0), as nothing had to be recognized.
    """
    rows = []
    for page in pages:
        found = page.extract_text(extraction_mode="layout", layout_mode_space_vertically=False)
        rows += [Row("  ".join(row.split("  ")).strip(), 1.0) for row in found.splitlines() if row.strip()]
    return rows


def scans_of(pages: list[PageObject]) -> list[Image.Image]:
    """The largest picture of each page, if it is not beyond all measure, as large as it is read."""
    scans = []
    for page in pages:
        pictures: list[Image.Image] = []
        for one in page.images:
            if one.image is not None and one.image.width * one.image.height <= PIXELS:
                pictures.append(one.image)
        if pictures:
            scan = max(pictures, key=lambda image: image.width * image.height).convert("RGB")
            scan.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
            scans.append(scan)
    return scans


def first_pages(path: Path) -> list[PageObject]:
    return list(PdfReader(path).pages[:PAGES])


def main(path: Path, folder: Path) -> None:
    pages = first_pages(path)
    rows = text_of(pages)
    names = []
    for place, scan in enumerate([] if rows else scans_of(pages)):
        scan.save(folder / f"{place}.png", compress_level=1)
        names.append(f"{place}.png")
    sys.stdout.write(json.dumps({"rows": [(row.text, row.score) for row in rows], "pictures": names}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
