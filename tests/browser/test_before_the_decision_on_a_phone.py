"""Before the decision, on a phone: the mechanic takes consumables, the shelf answers while a line is typed, the owner sees."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import go_by
from tests.browser.looks import assert_looks
from tests.browser.server import Serve, Server
from tests.browser.undecided import DAY

# What a page's script does, and how the page looks, does not depend on the engine; its actions are tested on both.
pytestmark = pytest.mark.needs_sqlite

# What a phone shows and its taps do not depend on the engine; the whole path, the counts and payouts run on both.

Enter = Callable[[Page, Server, str], None]
REPAIR = "/crew/repairs/RO-0001/"


@pytest.fixture(scope="module")
def fund(serve: Serve) -> Iterator[Server]:
    with serve(["-m", "tests.browser.undecided"], day=DAY) as running:
        yield running


def words(page: Page, where: str = "main") -> str:
    return " ".join(page.inner_text(where).split())


def take(page: Page, amount: str, what: str) -> None:
    page.locator('[name="amount"]').fill(amount)
    page.locator('[name="words"]').fill(what)
    go_by(page, page.locator("main").get_by_role("button", name="Take them"))
    assert_looks(page)


def test_consumables_and_the_shelf_before_the_decision(page: Page, fund: Server, sign_in: Enter) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, fund, "tavi")
    page.goto(fund.root + REPAIR)
    assert_looks(page)
    take(page, "50.01", "dye and brake cleaner")
    assert "$50.01 is above the $50.00 a mechanic may take alone for one repair." in words(page, "body")
    assert page.locator('[name="words"]').input_value() == "dye and brake cleaner"
    take(page, "18.00", "dye and brake cleaner")
    assert "$18.00 is promised to RO-0001 for consumables." in words(page, "body")
    page.goto(fund.root + REPAIR + "estimate/")
    page.locator('[name="line-0-text"]').press_sequentially("coolant")
    there = page.locator(".there").first
    expect(there).to_contain_text("3 quarts, cost $30.82")
    assert_looks(page)
    page.locator('[name="line-0-text"]').fill("tie rod")
    expect(there).to_be_empty()
    sign_in(page, fund, "maren")
    page.goto(fund.root + "/crew/")
    go_by(page, page.locator("main").get_by_role("link", name="repair has consumables before its decision"))
    assert_looks(page)
    assert "$18.00 of which $0.00 is spent: dye and brake cleaner Tavi Brandt" in words(page)
