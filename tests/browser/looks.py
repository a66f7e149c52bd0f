"""What a page must hold in a real browser: no violation that axe knows, no sideways scroll, no error in the console."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error, Page

DESK, PHONE, NARROW = (1280, 900), (390, 844), (320, 640)
# All that breaks a rule is told; what keeps the rules is not listed, which is most of axe's answer and of its time.
ONLY_BROKEN = {"resultTypes": ["violations"]}


def run_axe(page: Page, options: dict[str, Any] | None = None) -> Any:
    """axe's findings on the page once it stands whole.

    A page that moves on while axe looks (one that shows how far a long work is) takes axe away with it; it is
    looked at again, twice at most.
    """
    told = ONLY_BROKEN | (options or {})
    for _ in range(2):
        page.wait_for_load_state("load")
        try:
            return Axe().run(page, options=told)
        except Error:
            page.wait_for_timeout(500)
    page.wait_for_load_state("load")
    return Axe().run(page, options=told)


def assert_axe_clean(page: Page) -> None:
    """Fails with axe's own report when axe finds a violation on the page as it stands."""
    result = run_axe(page)
    assert result.violations_count == 0, f"{page.url}\n{result.generate_report()}"


def violations(page: Page, *, contrast_at: tuple[tuple[int, int], ...] = (DESK, PHONE)) -> list[str]:
    """What axe finds at desk and phone width: the width, the rule, and the first element that breaks it.

    Contrast, half of axe's work, can be left to one of the widths: the colors are the same at both.
    """
    found = []
    for size in (DESK, PHONE):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        options = None if size in contrast_at else {"rules": {"color-contrast": {"enabled": False}}}
        for broken in run_axe(page, options).response["violations"]:
            width = size[0]
            found.append(f"{width} px, {broken['id']}: {broken['nodes'][0]['html'][:160]}")
    return found


def wider_than_window(page: Page) -> list[str]:
    """The widths, out of 390 and 320 px, at which the page scrolls sideways."""
    found = []
    for width, height in (PHONE, NARROW):
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            found.append(f"{wide} px wide in a window of {width} px")
    return found


def assert_looks(page: Page) -> None:
    """axe at desk and phone width, no sideways scroll at 390 and 320 px; leaves the page at the size it had."""
    before = page.viewport_size
    found = violations(page) + wider_than_window(page)
    if before:
        page.set_viewport_size(before)
    assert not found, f"{page.url}: {found}"
