"""A supplement on a phone: asked for by the mechanic, decided by the owner; then a purchase that ran over."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page

from tests.browser.hands import go_by
from tests.browser.looks import assert_looks
from tests.browser.promised import DAY
from tests.browser.server import Serve, Server

# What a phone shows and its taps do not depend on the engine; the whole path, the counts and payouts run on both.

Enter = Callable[[Page, Server, str], None]
REPAIR = "/crew/repairs/RO-0001/"


@pytest.fixture(scope="module")
def fund(serve: Serve) -> Iterator[Server]:
    with serve(["-m", "tests.browser.promised"], day=DAY) as running:
        yield running


def words(page: Page, where: str = "main") -> str:
    """What stands there, on one line."""
    return " ".join(page.inner_text(where).split())


def press(page: Page, name: str) -> None:
    go_by(page, page.locator("main").get_by_role("button", name=name, exact=True))
    assert_looks(page)


def tap(page: Page, name: str, then: str) -> None:
    go_by(page, page.locator("main").get_by_role("link", name=name).first)
    assert page.url.endswith(then)
    assert_looks(page)


def test_the_mechanic_asks_and_the_owner_decides_on_a_phone(page: Page, fund: Server, sign_in: Enter) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    _ask(page, fund, sign_in)
    _decide(page, fund, sign_in)
    _ratify(page, fund)


def _ask(page: Page, fund: Server, sign_in: Enter) -> None:
    sign_in(page, fund, "tavi")
    page.goto(fund.root + REPAIR)
    tap(page, "The whole cost, line by line", "/cost/")
    said = words(page)
    assert "May still be bought $320.00" in said  # 400.00 and its tolerance of 40.00, less 120.00
    tap(page, "Ask for a supplement", "/supplement/")
    page.locator('[name="line-0-text"]').fill("caliper bracket")
    page.locator('[name="line-0-amount"]').fill("85.00")
    press(page, "Ask for the supplement")
    assert page.locator('[name="line-0-amount"]').input_value() == "85.00"  # refused: no reason yet
    page.locator('[name="reason"]').fill("The bracket broke off with the rust")
    press(page, "Ask for the supplement")
    assert "A supplement waits for an answer" in words(page)
    assert "$85.00 more, asked for by Tavi Brandt." in words(page)


def _decide(page: Page, fund: Server, sign_in: Enter) -> None:
    sign_in(page, fund, "maren")
    page.goto(fund.root + "/crew/")
    tap(page, "repair waits for a yes or no", "/waiting/decisions/")
    tap(page, "RO-0001", "/approval/")
    said = words(page)
    for shown in (
        "The bracket broke off with the rust", "caliper bracket", "85.00", "3,600.00", "3,515.00",
        "It takes 13% of what is free, with what was approved before.", "10% or $50.00, whichever is less",
    ):  # fmt: skip
        assert shown in said, shown
    page.locator('[name="tie"][value="no"]').check()
    press(page, "Approve $85.00")
    assert "supplement kept" in words(page, "body")
    tap(page, "The whole cost, line by line", "/cost/")
    said = words(page)
    assert "Supplement 1" in said
    assert "May still be bought $413.50" in said  # 485.00 and 48.50, less 120.00


def _ratify(page: Page, fund: Server) -> None:
    page.goto(fund.root + "/crew/")
    tap(page, "receipt beyond its approval", "/waiting/decisions/")
    tap(page, "R-00002", "/overspent/R-00002/")
    said = words(page)
    assert "23.50" in said  # 437.00 where 413.50 may be bought
    press(page, "Ratify and post")
    assert page.locator('[name="reason"][aria-invalid="true"]').count() == 1
    page.locator('[name="reason"]').fill("The only hub in town; bought on Saturday")
    press(page, "Ratify and post")
    assert "R-00002 is posted; $23.50 ratified" in words(page, "body")
    page.goto(fund.root + REPAIR)
    assert "Ratification" in words(page)
    page.goto(fund.root + REPAIR + "cost/")
    assert_looks(page)
    assert "May still be bought $0.00" in words(page)
