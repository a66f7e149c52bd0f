"""A month of the bank in a real browser: statement, matches, the charge nobody knew, 0.00, and a second person's review."""

from collections.abc import Callable, Iterator
from datetime import date

import pytest
from playwright.sync_api import FilePayload, Page, expect

from tests.browser.hands import go_by
from tests.browser.looks import violations, wider_than_window
from tests.browser.server import Serve, Server
from tests.fund.bank.files import ofx, trn

# What a page's script does, and how the page looks, does not depend on the engine; its actions are tested on both.
pytestmark = pytest.mark.needs_sqlite

ROWS = [
    trn("b1", "20260303", "900.00", "TRANSFER FROM ADA MOSS"),
    trn("b2", "20260311", "100.00", "BRANCH DEPOSIT"),
    trn("b3", "20260331", "-9.00", "SERVICE CHARGE"),
]


@pytest.fixture(scope="module")
def bank(serve: Serve) -> Iterator[Server]:
    with serve(["-m", "tests.browser.bank_month"], day=date(2026, 4, 2)) as running:
        yield running


def sound(page: Page) -> None:
    assert violations(page) + wider_than_window(page) == []


def test_a_month_is_reconciled_to_nothing_unexplained(
    bank: Server, page: Page, sign_in: Callable[[Page, Server, str], None]
) -> None:
    sign_in(page, bank, "odell")
    page.goto(bank.url("bank:statements"))
    go_by(page, page.get_by_role("link", name="Bring in a statement"))
    data = ofx(ROWS, "991.00", "20260331")
    page.get_by_label("The bank's statement").set_input_files(
        FilePayload(name="march.ofx", mimeType="text/plain", buffer=data)
    )
    go_by(page, page.get_by_role("button", name="Read the statement"))
    expect(page.get_by_text("3 new lines, 0 here already.")).to_be_visible()
    sound(page)
    go_by(page, page.get_by_role("button", name="Take these lines"))

    expect(page.get_by_role("heading", name="2 suggestions")).to_be_visible()
    expect(page.get_by_text("2 entries sum to it: 40.00 + 60.00 = 100.00.")).to_be_visible()
    sound(page)
    go_by(page, page.get_by_role("button", name="Confirm the sure one"))
    go_by(page, page.get_by_role("button", name="Confirm 100.00 of 2026-03-11"))
    go_by(page, page.get_by_role("link", name="Settle −9.00 of 2026-03-31"))
    page.get_by_label("What the rest of the line is").select_option("Bank charge")
    sound(page)
    go_by(page, page.get_by_role("button", name="Settle the line"))
    expect(page.get_by_text("Every line of the bank is matched.")).to_be_visible()

    page.goto(bank.url("bank:reconciliation", "2026-03"))
    expect(page.locator(".figure")).to_have_text("0.00")
    expect(page.get_by_text("Outstanding: Check 1042 to the hall")).to_be_visible()
    page.get_by_label("Closing balance on the statement").fill("919.00")
    go_by(page, page.get_by_role("button", name="Prepare the reconciliation"))
    expect(
        page.get_by_text("The statement says 919.00, the stored lines come to 991.00: -72.00 apart.")
    ).to_be_visible()
    expect(page.get_by_text("72.00 is divisible by 9.")).to_be_visible()
    expect(page.get_by_label("Closing balance on the statement")).to_have_value("919.00")
    sound(page)
    page.get_by_label("Closing balance on the statement").fill("991.00")
    go_by(page, page.get_by_role("button", name="Prepare the reconciliation"))
    expect(page.get_by_text("2026-03 is reconciled to 0.00. Somebody else reviews it now.")).to_be_visible()
    expect(page.get_by_role("button", name="I reviewed it")).to_have_count(0)

    sign_in(page, bank, "petra")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(bank.url("bank:reconciliation", "2026-03"))
    page.get_by_label("Note").fill("Compared with the statement.")
    go_by(page, page.get_by_role("button", name="I reviewed it"))
    expect(page.get_by_text("Prepared by Odell Price, reviewed by Petra Lindqvist.")).to_be_visible()
    sound(page)
    kept = page.request.get(bank.url("bank:sheet", "2026-03"))
    assert (kept.headers["content-type"], kept.body()[:4]) == ("application/pdf", b"%PDF")
