"""A lost connection at the counter loses nothing that was typed: it stays on the phone until the server has it."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.browser.hands import PATIENCE, go_by
from tests.browser.looks import assert_looks
from tests.browser.server import Server
from tests.fund.receipts.draw.paper import jpeg, papers

# What a page's script does, and how the page looks, does not depend on the engine; the path and the counts run on both.
pytestmark = pytest.mark.needs_sqlite

Enter = Callable[[Page, Server, str], None]
NEW = "/crew/receipts/new/"


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page whose console may complain: it says so itself when there is no connection."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    yield page
    context.close()


@pytest.fixture
def slip(tmp_path: Path) -> str:
    path = tmp_path / "slip.jpg"
    path.write_bytes(jpeg(papers()[0]))
    return str(path)


def _fill(page: Page, store: str, total: str = "12.00") -> None:
    page.locator('[name="store"]').fill(store)
    page.locator('[name="total"]').fill(total)
    page.locator('[name="lines-0-text"]').fill("shop towels")
    page.locator('[name="lines-0-amount"]').fill(total)
    page.locator('[name="lines-0-taxed"]').uncheck()
    page.locator('[name="lines-0-home"]').select_option("supplies")
    page.locator('[name="tender"]').select_option("fund_card")


def _offers(page: Page) -> int:
    return page.get_by_text("Typed on this device on").count()


def test_what_was_typed_without_a_connection_is_put_back_with_its_photo_and_sent_once(
    phone: Page, server: Server, sign_in: Enter, slip: str
) -> None:
    sign_in(phone, server, "tavi")
    phone.goto(server.root + NEW)
    assert _offers(phone) == 0
    _fill(phone, "Offline Counter")
    phone.locator('[name="photo"]').set_input_files(slip)
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Save and look it over").click()
    phone.get_by_text("Press the button again when you are back.").wait_for()
    phone.get_by_role("button", name="Add three rows").click()
    phone.locator('[name="lines-5-text"]').fill("the sixth line")
    phone.locator('[name="lines-5-amount"]').fill("3.00")
    phone.locator('[name="lines-5-home"]').select_option("tool")
    phone.locator('[name="total"]').fill("15.00")
    assert phone.locator('[name="lines-4-text"]').input_value() == ""
    assert_looks(phone)
    phone.close()  # the phone is put away, the tab is gone

    phone = phone.context.new_page()
    phone.context.set_offline(False)
    phone.goto(server.root + NEW)
    phone.get_by_text("and not sent: Offline Counter, 15.00.").wait_for()
    assert_looks(phone)
    phone.get_by_role("button", name="Put it back").click()
    phone.locator('[name="lines-5-text"]').wait_for()
    for name, value in (
        ("store", "Offline Counter"),
        ("total", "15.00"),
        ("lines-0-text", "shop towels"),
        ("lines-5-text", "the sixth line"),
        ("lines-5-home", "tool"),
        ("tender", "fund_card"),
    ):
        assert phone.locator(f'[name="{name}"]').input_value() == value
    assert not phone.locator('[name="lines-0-taxed"]').is_checked()
    phone.wait_for_function("document.querySelector('[name=photo]').files.length === 1")
    phone.get_by_role("button", name="Save and look it over").click()
    phone.get_by_role("button", name="Post $15.00").wait_for()
    assert phone.locator("main img.photo").count() == 1

    phone.goto(server.root + NEW)
    assert _offers(phone) == 0


def test_a_server_that_cannot_be_reached_loses_nothing_either(
    phone: Page, server: Server, sign_in: Enter
) -> None:
    sign_in(phone, server, "tavi")
    phone.goto(server.root + NEW)
    _fill(phone, "Far Away Parts")

    def cut(route: Route) -> None:
        if route.request.method == "POST":
            route.abort("connectionfailed")
        else:
            route.continue_()

    phone.route(f"**{NEW}", cut)
    phone.get_by_role("button", name="Save and look it over").click()
    phone.wait_for_url("chrome-error://**")
    phone.unroute(f"**{NEW}")
    phone.goto(server.root + NEW)
    phone.get_by_text("and not sent: Far Away Parts, 12.00.").wait_for()
    phone.get_by_role("button", name="Throw it away").click()
    phone.reload()
    assert _offers(phone) == 0


def test_somebody_else_at_the_same_phone_is_not_offered_it(
    phone: Page, server: Server, sign_in: Enter
) -> None:
    sign_in(phone, server, "tavi")
    phone.goto(server.root + NEW)
    _fill(phone, "Mine Alone")
    sign_in(phone, server, "jun")
    phone.goto(server.root + NEW)
    assert _offers(phone) == 0


def test_without_a_script_the_same_form_saves_and_keeps_what_was_typed_through_a_mistake(
    browser: Browser, server: Server, sign_in: Enter
) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    sign_in(page, server, "tavi")
    page.goto(server.root + NEW)
    _fill(page, "No Script Store", "1x")
    go_by(page, page.get_by_role("button", name="Save and look it over"))
    assert page.locator('[name="store"]').input_value() == "No Script Store"
    _fill(page, "No Script Store")
    go_by(page, page.get_by_role("button", name="Save and look it over"))
    page.get_by_role("button", name="Post $12.00").wait_for()
    context.close()
