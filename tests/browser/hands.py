"""What a hand does on a page: each step ends when the page that it leads to stands whole."""

from playwright.sync_api import Locator, Page, expect

# How long one step may take, in ms. Nothing waits that long unless something is broken: how fast a machine is, and
# what else it does at the moment, proves nothing.
PATIENCE = 60_000
expect.set_options(timeout=PATIENCE)


def go_by(page: Page, what: Locator) -> None:
    """Click what leads to another page (a link, a button that sends a form), and wait for that page's load event.

    A click alone returns while the old page still stands or the new one is half read; what a test then looks at
    is one of the two, by chance. Times out when nothing is led to.
    """
    with page.expect_navigation(wait_until="load"):
        what.click()


def draw(page: Page, *strokes: list[tuple[float, float]]) -> None:
    """Draw in the box to sign in: each stroke is a list of places, as shares of its width and height."""
    canvas = page.locator("[data-sign] canvas")
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    assert box is not None
    for stroke in strokes:
        places = [(box["x"] + x * box["width"], box["y"] + y * box["height"]) for x, y in stroke]
        page.mouse.move(*places[0])
        page.mouse.down()
        for place in places[1:]:
            page.mouse.move(*place, steps=4)
        page.mouse.up()
