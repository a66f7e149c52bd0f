"""Takes the README's picture of the public month page from the demo: ``make picture``."""

import os
import tempfile
from datetime import date
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

TOP = Path(__file__).resolve().parents[2]
PICTURE = TOP / "fixtures" / "pictures" / "month.png"
WIDTH, HEIGHT = 1280, 1500
# Where the last row of a table ends that is whole in the picture.
LAST_WHOLE_ROW = f"""
    Math.max(...[...document.querySelectorAll("tr")].map(row => row.getBoundingClientRect().bottom).filter(y => y < {HEIGHT}))
"""


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    from tests.browser.conftest import ARGUMENTS
    from tests.browser.server import serving
    from tests.house.needs import CHROMIUM

    fill = [["manage.py", "prepare"], ["manage.py", "demo"]]
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder), fill=fill, day=date(2026, 11, 6)) as server,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}, color_scheme="light")
        page.goto(server.root + "/")
        page.evaluate("document.fonts.ready")
        shot = page.screenshot(clip={"x": 0, "y": 0, "width": WIDTH, "height": page.evaluate(LAST_WHOLE_ROW)})
        browser.close()
    PICTURE.parent.mkdir(parents=True, exist_ok=True)
    Image.open(BytesIO(shot)).convert("RGB").quantize(128, dither=Image.Dither.NONE).save(
        PICTURE, optimize=True
    )
    print(f"{PICTURE.relative_to(TOP)}: {PICTURE.stat().st_size:,} bytes")


if __name__ == "__main__":
    main()
