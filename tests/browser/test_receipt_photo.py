"""A receipt at the counter, on a phone: the photo is taken, read, corrected, kept and posted."""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.looks import assert_looks
from tests.browser.server import Server
from tests.fund.receipts.draw.paper import jpeg, money, papers

# What a page's script does, and how the page looks, does not depend on the engine; its actions are tested on both.
pytestmark = pytest.mark.needs_sqlite

Enter = Callable[[Page, Server, str], None]


@pytest.fixture
def slip(tmp_path: Path) -> tuple[dict[str, object], Path]:
    paper = next(paper for paper in papers() if paper["name"] == "paper04")
    path = tmp_path / "slip.jpg"
    path.write_bytes(jpeg(paper))
    return paper, path


def test_a_receipt_is_entered_from_its_photo_on_a_phone(
    page: Page, server: Server, sign_in: Enter, slip: tuple[dict[str, object], Path]
) -> None:
    paper, path = slip
    lines, total = paper["lines"], paper["total"]
    assert isinstance(lines, list) and isinstance(total, int)
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, server, "tavi")
    page.goto(server.root + "/crew/receipts/new/")
    main = page.locator("main")
    main.locator('[name="photo"]').set_input_files(str(path))
    main.get_by_role("button", name="Read the photo").click()
    main.get_by_text("The amounts prove each other").wait_for()
    assert_looks(page)
    assert main.locator('[name="total"]').input_value() == money(total)
    assert main.locator('[name="number"]').input_value() == paper["number"]
    for number, (text, amount) in enumerate(lines):
        assert main.locator(f'[name="lines-{number}-text"]').input_value() == text
        assert main.locator(f'[name="lines-{number}-amount"]').input_value() == money(amount)
        main.locator(f'[name="lines-{number}-home"]').select_option("supplies")
    main.locator('[name="lines-0-text"]').fill("corrected by hand")
    main.locator('[name="tender"]').select_option("fund_card")
    main.get_by_role("button", name="Save and look it over").click()
    main.get_by_role("button", name=f"Post ${money(total)}").wait_for()
    assert_looks(page)
    main.get_by_role("button", name=f"Post ${money(total)}").click()
    page.get_by_text("is in the books.").wait_for()
    assert "corrected by hand" in main.inner_text()
