"""A payout file nobody has read yet, in a real browser: guessed, corrected, seen row by row, saved by name, posted."""

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import FilePayload, Page, Response, expect

from tests.browser.hands import go_by
from tests.browser.looks import assert_looks
from tests.browser.server import Serve, Server
from tests.fund.gifts.unknown import many_rows

ROWS = 10_000


@pytest.fixture(scope="module")
def empty(serve: Serve) -> Iterator[Server]:
    with serve(day=date(2026, 3, 15)) as running:
        yield running


def test_a_payout_with_a_new_layout(
    empty: Server, page: Page, sign_in: Callable[[Page, Server, str], None], tmp_path: Path
) -> None:
    sign_in(page, empty, "odell")
    page.goto(empty.url("gifts:layouts"))
    go_by(page, page.get_by_role("link", name="Take up a platform"))
    page.get_by_label("Name of the platform").fill("Millpond Pay")
    page.get_by_label("Short name").fill("millpond")
    go_by(page, page.get_by_role("button", name="Take it up"))
    expect(page.get_by_text("Millpond Pay is taken up, with clearing account 1033.")).to_be_visible()

    go_by(page, page.get_by_role("link", name="Payouts", exact=True))
    go_by(page, page.get_by_role("link", name="Upload a payout file"))
    go_by(page, page.get_by_role("link", name="Make a layout from its file"))
    page.get_by_label("A payout file of the platform").set_input_files(
        FilePayload(name="Millpond March.csv", mimeType="text/csv", buffer=many_rows(ROWS))
    )
    go_by(page, page.get_by_role("button", name="Read the file"))

    expect(page.get_by_label("Name of the layout")).to_have_value("millpond-march")
    for label, holds in {
        "Reference": "Transaction id",
        "Created": "Date",
        "Kind": "Kind of row",
        "Gross": "Amount",
        "Hosting": "Fee: the platform's share",
        "Payment fee": "Fee: processing of the payment",
        "Net": "Net after fees",
        "Giver": "Supporter name",
        "Device": "nothing for the books",
    }.items():
        chosen = page.get_by_label(label, exact=True).locator("option:checked")
        expect(chosen).to_have_text(holds)
    expect(page.get_by_text("Give at least one word that marks")).to_be_visible()
    assert_looks(page)

    page.get_by_label("Platform", exact=True).select_option("Millpond Pay")
    page.get_by_label("sweep", exact=True).select_option("the payout to the bank")
    expect(page.get_by_text(f"{ROWS + 1} rows can be read.")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("gift B-9-0 .*Anwen Pell 0"))).to_be_visible()
    expect(page.get_by_label("sweep", exact=True).locator("option:checked")).to_have_text(
        "the payout to the bank"
    )
    assert_looks(page)

    page.get_by_label("Name of the layout").fill("kettle-card")
    save = page.get_by_role("button", name="Save the layout and look at every row")
    go_by(page, save)
    expect(page.get_by_text("There is a layout “kettle-card” already. Choose another name.")).to_be_visible()
    expect(page.get_by_label("sweep", exact=True).locator("option:checked")).to_have_text(
        "the payout to the bank"
    )
    page.get_by_label("Name of the layout").fill("millpond")
    go_by(page, save)

    expect(page.get_by_text("Layout millpond is saved. Look at every row before you post.")).to_be_visible()
    expect(page.get_by_text(f"{ROWS + 1} new")).to_be_visible()
    expect(page.get_by_text("to the cent.")).to_be_visible()
    assert_looks(page)

    asked: list[Response] = []
    page.on("response", lambda answer: asked.append(answer) if "/payouts/jobs/" in answer.url else None)
    go_by(page, page.get_by_role("button", name="Post this file"))
    expect(page.get_by_role("heading", name="Millpond March.csv")).to_be_visible()
    done = page.get_by_text(f"{ROWS + 1} posted, 0 already booked.")
    expect(done).to_be_visible(timeout=120_000)
    assert len(asked) > 1, "the page asks how far it is until it is done"
    assert_looks(page)
    go_by(page, page.get_by_role("link", name=re.compile("^Payout B-9")))
    expect(page.get_by_role("row", name=f"{ROWS} gifts")).to_be_visible()

    page.goto(empty.url("gifts:payout-upload"))
    page.get_by_label("Layout", exact=True).select_option("millpond")
    page.get_by_label("The platform's payout file").set_input_files(
        FilePayload(name="again.csv", mimeType="text/csv", buffer=many_rows(ROWS))
    )
    go_by(page, page.get_by_role("button", name="Read the file"))
    expect(page.get_by_text("Everything in this file is already booked")).to_be_visible()

    # The command reads by the same layout, and says so when everything is booked.
    file = tmp_path / "april.csv"
    file.write_bytes(many_rows(3, batch="B-10"))
    words = ("import_payout", str(file), "--layout", "millpond")
    assert "4 posted, 0 already booked." in empty.manage(*words)
    assert "0 posted, 4 already booked." in empty.manage(*words)
    empty.manage("check_books")
