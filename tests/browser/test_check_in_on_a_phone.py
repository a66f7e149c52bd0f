"""A vehicle is checked in on a phone: photos as they are taken and taken out, damage tapped, the owner signs in a box."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from fixtures.demo_writer.pictures import VIEWS, vehicle_photo
from tests.browser.crew import PASSWORD
from tests.browser.door import DAY
from tests.browser.hands import PATIENCE, draw, go_by
from tests.browser.looks import assert_looks
from tests.browser.server import Serve, Server

# What a page's script does, and how the page looks, does not depend on the engine; its actions are tested on both.
pytestmark = pytest.mark.needs_sqlite

Enter = Callable[[Page, Server, str], None]
PHONE = {"width": 390, "height": 844}
LEAST = 44  # px, the least side of a target for shop hands
UP_AND_DOWN = [(0.1, 0.5), (0.2, 0.2), (0.3, 0.8), (0.5, 0.3)]
ACROSS = [(0.2, 0.6), (0.9, 0.6)]


@pytest.fixture(scope="module")
def door(serve: Serve) -> Iterator[Server]:
    with serve(["-m", "tests.browser.door"], day=DAY) as running:
        yield running


@pytest.fixture
def corners(tmp_path: Path) -> list[Path]:
    files = [tmp_path / f"{view}.jpg" for view in VIEWS]
    for file, view in zip(files, VIEWS, strict=True):
        file.write_bytes(vehicle_photo(view))
    return files


def test_a_vehicle_is_checked_in_with_a_dozen_taps(
    page: Page, door: Server, sign_in: Enter, corners: list[Path]
) -> None:
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    sign_in(page, door, "tavi")
    page.goto(f"{door.root}/crew/repairs/RO-0001/")
    go_by(page, page.get_by_role("link", name="Walk round it", exact=True))
    page.get_by_label("Miles on the odometer").fill("148210")
    page.get_by_label("½").check()
    page.get_by_label("No warning light stays on").check()
    _photos_one_by_one(page, corners)
    _one_photo_out(page, corners)
    _damage(page)
    _signature(page)
    go_by(page, page.get_by_role("button", name="Finish the check-in"))
    assert_looks(page)
    text = page.inner_text("main")
    for words in ("148210 miles", "½", "none stays on", "Hood, Left rear side.", "Signed by its owner"):
        assert words in text, words
    assert page.locator(".thumbs img").count() == 4
    assert page.locator(".outline path.marked").count() == 2
    assert page.locator(".signature").count() == 0  # a volunteer does not see what names the household
    _refusal(page, door)
    sign_in(page, door, "ines")
    page.goto(f"{door.root}/crew/repairs/RO-0001/check-in/")
    assert page.locator(".signature path").count() == 1
    assert_looks(page)


def _signature(page: Page) -> None:
    """Two strokes, the last one taken back, all cleared, and signed again; what is sent follows."""
    sent = page.locator("[data-sign] input[name=drawn]")
    assert sent.input_value() == ""
    draw(page, UP_AND_DOWN, ACROSS)
    assert len(json.loads(sent.input_value())) == 2
    for name in ("Take back the last stroke", "Clear it"):
        box = page.get_by_role("button", name=name).bounding_box()
        assert box is not None
        assert box["height"] >= LEAST
    page.get_by_role("button", name="Take back the last stroke").click()
    assert len(json.loads(sent.input_value())) == 1
    page.get_by_role("button", name="Clear it").click()
    assert sent.input_value() == ""
    draw(page, UP_AND_DOWN, ACROSS)
    page.get_by_text("Signed in the box.").wait_for()
    assert_looks(page)


def _one_photo_out(page: Page, corners: list[Path]) -> None:
    """Asked first, then gone; what was typed meanwhile is still there, and the view is taken again."""
    page.get_by_label("Keys left here").fill("2")
    go_by(page, page.get_by_role("button", name="Take out photo 2"))
    assert_looks(page)
    go_by(page, page.get_by_role("link", name="Leave it in"))
    assert "Photos: 4 of 4" in page.inner_text("main")
    go_by(page, page.get_by_role("button", name="Take out photo 2"))
    go_by(page, page.get_by_role("button", name="Take it out"))
    assert "Photos: 3 of 4" in page.inner_text("main")
    assert page.get_by_label("Keys left here").input_value() == "2"
    page.locator("[name=photos]").set_input_files(corners[1])
    page.get_by_text("Photos: 4 of 4").wait_for()


def _refusal(page: Page, door: Server) -> None:
    """What makes it safe is refused: read in the owner's language and signed in the same kind of box."""
    page.goto(f"{door.root}/crew/repairs/RO-0001/unsafe/new/")
    assert_looks(page)
    page.get_by_label("What is unsafe").fill("Línea de freno oxidada")
    page.get_by_label("It is about").select_option("brakes")
    page.get_by_label("The owner reads").select_option("es")
    go_by(page, page.get_by_role("button", name="Sign on the screen"))
    assert_looks(page)
    assert "No maneje este vehículo" in page.inner_text("main")
    draw(page, UP_AND_DOWN, ACROSS)
    page.get_by_text("Firmado en el recuadro.").wait_for()
    go_by(page, page.get_by_role("button", name="Keep the refusal"))
    assert "Línea de freno oxidada" in page.inner_text("main")
    assert_looks(page)


def _photos_one_by_one(page: Page, corners: list[Path]) -> None:
    """Each is kept when it is taken: nothing is lost when the phone dies afterwards."""
    for number, corner in enumerate(corners, start=1):
        page.locator("[name=photos]").set_input_files(corner)
        page.get_by_text(f"Photos: {number} of 4").wait_for()
    assert page.get_by_label("Miles on the odometer").input_value() == "148210"
    page.reload()
    assert "Photos: 4 of 4" in page.inner_text("main")
    assert page.get_by_label("Miles on the odometer").input_value() == "148210"
    assert page.get_by_label("½").is_checked()


def _damage(page: Page) -> None:
    """A tap marks, a second one takes it back; the boxes in words follow."""
    for zone in ("hood", "roof", "left_rear"):
        part = page.locator(f'.outline [data-zone="{zone}"]')
        part.scroll_into_view_if_needed()
        box = part.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST, (zone, box)
        part.click()
    page.locator('.outline [data-zone="roof"]').click()
    marked = page.locator(".outline path.marked")
    assert marked.count() == 2
    page.get_by_text("Or in words").click()
    assert page.get_by_label("Hood", exact=True).is_checked()
    assert not page.get_by_label("Roof", exact=True).is_checked()
    assert_looks(page)


def test_without_a_script_the_boxes_in_words_do_the_same(
    browser: Browser, door: Server, corners: list[Path]
) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(f"{door.root}/crew/sign-in/")
    page.locator("[name=username]").fill("tavi")
    page.locator("[name=password]").fill(PASSWORD)
    go_by(page, page.get_by_role("button", name="Sign in"))
    page.goto(f"{door.root}/crew/repairs/RO-0002/check-in/")
    page.get_by_label("Right front door").check()
    page.get_by_label("Underneath").check()
    page.locator("[name=photos]").set_input_files(corners)
    go_by(page, page.get_by_role("button", name="Finish the check-in"))
    lacks = page.inner_text("main")
    for sentence in ("Write the mileage", "which dash lights", "signs with their name"):
        assert sentence in lacks
    assert "Photos: 4 of 4" in lacks
    assert page.get_by_label("Underneath").is_checked()
    assert page.get_by_text("Drawing needs a script").is_visible()
    assert not page.locator("[data-sign] canvas").is_visible()
    page.get_by_label("Miles on the odometer").fill("151300")
    page.get_by_label("Lights that stay on").fill("ABS")
    page.get_by_label("Owner's name").fill("Bo Marsh")
    page.get_by_label("I am the owner.").check()
    go_by(page, page.get_by_role("button", name="Finish the check-in"))
    assert "Right front door, Underneath." in page.inner_text("main")
    context.close()


def test_a_finger_draws_and_does_not_scroll(browser: Browser, door: Server) -> None:
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(f"{door.root}/crew/sign-in/")
    page.locator("[name=username]").fill("tavi")
    page.locator("[name=password]").fill(PASSWORD)
    go_by(page, page.get_by_role("button", name="Sign in"))
    page.goto(f"{door.root}/crew/repairs/RO-0003/check-in/")
    canvas = page.locator("[data-sign] canvas")
    canvas.scroll_into_view_if_needed()
    edge, scrolled = canvas.bounding_box(), page.evaluate("scrollY")
    assert edge is not None
    screen = context.new_cdp_session(page)

    def touch(kind: str, *places: tuple[float, float]) -> None:
        points = [
            {"x": edge["x"] + x * edge["width"], "y": edge["y"] + y * edge["height"]} for x, y in places
        ]
        screen.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", (0.1, 0.2))
    touch("touchMove", (0.4, 0.8))
    touch("touchStart", (0.4, 0.8), (0.9, 0.1))  # a second finger draws nothing
    touch("touchMove", (0.5, -3.0), (0.9, 0.1))  # what leaves the box stays at its edge
    touch("touchEnd")
    page.get_by_text("Signed in the box.").wait_for()
    [stroke] = json.loads(page.locator("[data-sign] input[name=drawn]").input_value())
    assert min(stroke) == 0
    assert all(0 <= x <= 320 for x in stroke[::2])
    assert page.evaluate("scrollY") == scrolled
    context.close()
