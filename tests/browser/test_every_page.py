"""Every page of the program in a real browser: axe finds nothing, nothing scrolls sideways, no error in the console."""

import json
import sys
from collections.abc import Callable, Iterator
from datetime import date

import pytest
from playwright.sync_api import Page

from tests.browser.looks import PHONE, violations, wider_than_window
from tests.browser.server import Serve, Server, run

# The pages do not depend on the engine of the database; one run of the two is enough. One server serves all four parts.
pytestmark = pytest.mark.needs_sqlite
# The way out. What else is no page is known by its answer, see `is_page`.
NO_PAGES = ("access:sign-out",)


def is_page(page: Page, url: str) -> bool:
    """Not a file, a piece of a page, or an address that only takes what is posted.

    Asked without a window: in one, a file starts a download, and a sandboxed picture never answers.
    """
    answer = page.request.get(url)
    if answer.status == 405:
        return False
    kind = answer.headers.get("content-type", "")
    return kind.startswith("text/html") and answer.text().lstrip()[:9].lower() == "<!doctype"


@pytest.fixture(scope="module")
def everything(serve: Serve) -> Iterator[tuple[Server, dict[str, str]]]:
    with serve(day=date(2026, 4, 1)) as server:
        paths = json.loads(run([sys.executable, "-m", "tests.browser.fill"], server.environment))
        yield server, {name: path for name, path in paths.items() if name not in NO_PAGES}


@pytest.mark.parametrize("part", range(4))
def test_every_page_is_sound_at_desk_and_phone_width(
    part: int,
    everything: tuple[Server, dict[str, str]],
    page: Page,
    sign_in: Callable[[Page, Server, str], None],
) -> None:
    server, paths = everything
    sign_in(page, server, "maren")
    wrong = {}
    looked = 0
    for name in sorted(paths)[part::4]:
        if not is_page(page, server.root + paths[name]):
            continue
        looked += 1
        answer = page.goto(server.root + paths[name])
        assert answer is not None
        found = [f"answered {answer.status}"] if answer.status >= 400 else []
        if found := found + violations(page, contrast_at=(PHONE,)) + wider_than_window(page):
            wrong[name] = found
    assert wrong == {}
    assert looked > 25  # else most pages were taken for files or pieces, and nothing was proved
