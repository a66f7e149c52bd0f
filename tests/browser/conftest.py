"""A real browser on a real server. Tests here need Chromium; those of a file run on one worker, on one server."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.crew import PASSWORD
from tests.browser.hands import PATIENCE, go_by
from tests.browser.server import Serve, Server, filled, serving
from tests.house.needs import CHROMIUM

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.needs_chromium)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    # Not for the whole session: Playwright keeps an event loop running in this thread, and beside one Django keeps
    # connections of its own to the database, which nobody closes.
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=str(CHROMIUM), headless=True, args=ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def serve(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serve]:
    """``with serve(["-m", "tests.browser.bay"], day=DAY) as server``: the crew (crew.py) and what commands add to it.

    Each call gives a server and a database of its own; the one they are copied from is made once.
    """
    fill = [["manage.py", "prepare"], ["-m", "tests.browser.crew"]]
    with filled(tmp_path_factory.mktemp("crew"), fill=fill) as crew:

        def begin(*more: list[str], day: date) -> AbstractContextManager[Server]:
            return serving(tmp_path_factory.mktemp("served"), fill=list(more), day=day, copied_from=crew)

        yield begin


@pytest.fixture(scope="module")
def server(serve: Serve) -> Iterator[Server]:
    """An empty fund with its crew, in March 2026."""
    with serve(day=date(2026, 3, 15)) as running:
        yield running


@pytest.fixture(scope="session")
def demo_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The fund of the demo, a few days after its last month."""
    fill = [["manage.py", "prepare"], ["manage.py", "demo"]]
    with serving(tmp_path_factory.mktemp("demo"), fill=fill, day=date(2026, 11, 6)) as running:
        yield running


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of its own for each test, which fails the test on an error in the browser's console."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    fresh = context.new_page()
    complaints: list[str] = []
    fresh.on("pageerror", lambda error: complaints.append(str(error)))
    fresh.on(
        "console",
        lambda line: complaints.append(line.text) if line.type == "error" and not told(line) else None,
    )
    fresh.set_default_timeout(PATIENCE)
    yield fresh
    context.close()
    assert not complaints


def told(line: object) -> bool:
    """A refused form or a guarded page answers 4xx on purpose; the browser logs that as an error too."""
    return "the server responded with a status of 4" in getattr(line, "text", "")


@pytest.fixture
def sign_in() -> Callable[[Page, Server, str], None]:
    """``sign_in(page, server, "maren")``: through the sign-in page, as a person would."""

    def enter(page: Page, server: Server, username: str, password: str = PASSWORD) -> None:
        page.context.clear_cookies()
        page.goto(server.url("access:sign-in"))
        page.get_by_label("Sign-in name").fill(username)
        page.get_by_label("Password").fill(password)
        go_by(page, page.get_by_role("button", name="Sign in"))
        assert page.url.startswith(f"{server.root}/crew/") and "sign-in" not in page.url

    return enter
