"""Two people count a jar on the phone of one of them: each signs by a password of their own, and nobody signs twice."""

import io
from collections.abc import Callable, Iterator
from datetime import date

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.crew import PASSWORD
from tests.browser.hands import go_by
from tests.browser.looks import PHONE, assert_looks
from tests.browser.server import Serve, Server


@pytest.fixture(scope="module")
def jar(serve: Serve) -> Iterator[Server]:
    with serve(day=date(2026, 3, 15)) as running:
        yield running


def test_a_two_person_cash_count(
    jar: Server, page: Page, sign_in: Callable[[Page, Server, str], None]
) -> None:
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    sign_in(page, jar, "tavi")
    page.goto(jar.url("gifts:counts"))
    go_by(page, page.get_by_role("link", name="Count cash").first)
    expect(page.get_by_text("Counted by Tavi Brandt, who is signed in")).to_be_visible()
    page.get_by_label("Where the cash came from").fill("jar by the door")
    for face, many in (("$100.00", 1), ("$20.00", 4), ("$5.00", 5), ("$1.00", 2)):
        page.get_by_label(face, exact=True).fill(str(many))
    page.get_by_label("Total of the receipt book").fill("212.00")
    name, password = (
        page.get_by_label("Second person's sign-in name"),
        page.get_by_label("Second person's password"),
    )
    sign = page.get_by_role("button", name="Both sign and book it")
    assert_looks(page)

    name.fill("tavi")
    password.fill(PASSWORD)
    go_by(page, sign)
    expect(page.get_by_text("It takes two different people to count cash.")).to_be_visible()
    expect(page.get_by_label("$20.00", exact=True)).to_have_value("4")
    expect(password).to_have_value("")
    assert_looks(page)

    name.fill("jun")
    password.fill("a guess")
    go_by(page, sign)
    expect(page.get_by_text("The second person's name and password do not go together.")).to_be_visible()
    expect(page.get_by_label("Where the cash came from")).to_have_value("jar by the door")

    password.fill(PASSWORD)
    go_by(page, sign)
    expect(page.get_by_text("The count is 207.00, the receipt book says 212.00: 5.00 apart.")).to_be_visible()
    page.get_by_label("Note").fill("One receipt was written twice.")
    password.fill(PASSWORD)
    go_by(page, sign)
    expect(page.get_by_text("C-0001: $207.00 counted by Tavi Brandt and Jun Okafor.")).to_be_visible()
    expect(page.get_by_text("One receipt was written twice.")).to_be_visible()
    assert_looks(page)
    sheet = page.request.get(jar.url("gifts:count-sheet", "C-0001"))
    words = "".join(part.extract_text() for part in PdfReader(io.BytesIO(sheet.body())).pages)
    for expected in ("Cash count C-0001", "207.00", "Tavi Brandt", "Jun Okafor"):
        assert expected in words

    sign_in(page, jar, "odell")
    page.goto(jar.url("gifts:deposit-new"))
    page.get_by_label("207.00").check()
    go_by(page, page.get_by_role("button", name="Book the deposit"))
    expect(page.get_by_text("D-0001: $207.00 is banked.")).to_be_visible()
    jar.manage("check_books")
