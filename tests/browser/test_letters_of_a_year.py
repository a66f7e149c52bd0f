"""The treasurer writes the letters of a year in January, prints them in one PDF, withdraws one and writes it anew."""

import io
import re
from collections.abc import Callable, Iterator
from datetime import date

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from reports.demo.cast import PASSWORD
from tests.browser.hands import go_by
from tests.browser.looks import assert_looks
from tests.browser.server import Server

# What a page's script does, and how the page looks, does not depend on the engine; its actions are tested on both.
pytestmark = pytest.mark.needs_sqlite


@pytest.fixture
def january(demo_server: Server) -> Iterator[Server]:
    """The demo's fund after its year; the day is put back for other tests."""
    demo_server.set_day(date(2027, 1, 12))
    yield demo_server
    demo_server.set_day(date(2026, 11, 6))


def test_a_years_letters(
    january: Server, page: Page, sign_in: Callable[[Page, Server, str, str], None]
) -> None:
    sign_in(page, january, "odell", PASSWORD)
    page.goto(january.url("letters:years"))
    expect(page.get_by_role("link", name=re.compile("^2025"))).to_contain_text("complete")
    go_by(page, page.get_by_role("link", name=re.compile("^2026")))
    question = page.get_by_role("heading", name=re.compile(r"Write \d+ letters\?")).inner_text()
    many = int(re.findall(r"\d+", question)[0])
    assert many > 50, "more than one request writes, so the bar moves"
    assert_looks(page)
    page.get_by_role("button", name="Write the letters of 2026").click()
    done = page.get_by_text(re.compile(r"\d+ letters written"))
    expect(done).to_be_visible()
    written = int(re.findall(r"\d+", done.inner_text())[0])
    page.reload()
    with page.expect_download() as saved:
        page.get_by_role("link", name="All in one PDF").click()
    pdf = PdfReader(io.BytesIO(saved.value.path().read_bytes()))
    titles = sum(text.count("Your gifts of 2026") for text in (sheet.extract_text() for sheet in pdf.pages))
    assert titles == written > 50
    assert_looks(page)

    go_by(page, page.get_by_role("link", name="As a list"))
    go_by(page, page.locator("tbody").get_by_role("link").first)
    number = int(re.findall(r"\d+", page.get_by_role("heading", level=1).inner_text())[0])
    expect(page.get_by_text("We gave you no goods or services in return.").first).to_be_visible()
    assert_looks(page)
    go_by(page, page.get_by_role("link", name="Withdraw it"))
    page.get_by_label("Why it is withdrawn").fill("the name was misspelled")
    go_by(page, page.get_by_role("button", name="Withdraw it"))
    go_by(page, page.get_by_role("button", name="Write it anew"))
    expect(page.get_by_text(f"In place of letter {number}")).to_be_visible()
    expect(page.get_by_text(f"takes the place of our letter {number}").first).to_be_visible()
    january.manage("check_books")
