"""Asking for help from a phone: without JavaScript, in both languages, with large letters, back on another phone."""

import re
from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.hands import PATIENCE, go_by
from tests.browser.looks import assert_axe_clean
from tests.browser.server import Serve, Server

# What a phone shows does not depend on the engine; the actions behind these pages are tested on both.
pytestmark = pytest.mark.needs_sqlite

SMALL_PHONE = {"width": 360, "height": 740}
SPANISH = {
    "begin": "Pedir ayuda ahora",
    "on": "Seguir",
    "send": "Enviar mi solicitud",
    "sent": "Tenemos su solicitud.",
    "line": "Usted es el número",
    "wrong": "Escriba la cantidad así",
    "draft": "Su solicitud, todavía sin enviar",
}
ENGLISH = {
    "begin": "Ask for help now",
    "on": "Go on",
    "send": "Send my request",
    "sent": "We have your request.",
    "line": "You are number",
    "wrong": "Write the amount like",
    "draft": "Your request, not sent yet",
}
WORDS = {"en": ENGLISH, "es": SPANISH}
Open = Callable[..., Page]


@pytest.fixture(scope="module")
def fund(serve: Serve) -> Iterator[Server]:
    """An empty fund of its own: what is asked here is counted and waited for."""
    with serve(day=date(2026, 3, 16)) as running:
        yield running


@pytest.fixture(autouse=True)
def _another_day(fund: Server) -> None:
    """Each test a day later: what one address may send in an hour is counted."""
    fund.set_day(date.fromisoformat((fund.folder / "day").read_text()) + timedelta(days=1))


@pytest.fixture
def phone(browser: Browser) -> Iterator[Open]:
    """A phone of its own for each call, without JavaScript unless said."""
    opened = []

    def take(javascript: bool = False, scheme: str = "light") -> Page:
        context = browser.new_context(
            viewport=SMALL_PHONE,  # type: ignore[arg-type]
            java_script_enabled=javascript,
            color_scheme=scheme,  # type: ignore[arg-type]
        )
        opened.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        return page

    yield take
    for context in opened:
        context.close()


def press(page: Page, name: str) -> None:
    go_by(page, page.get_by_role("button", name=name, exact=True).last)


def first_questions(page: Page, server: Server, language: str) -> None:
    page.goto(server.root + ("/ask-for-help/es/" if language == "es" else "/ask-for-help/"))
    go_by(page, page.get_by_role("link", name=WORDS[language]["begin"]))
    for box in page.locator("input[type=radio][value=yes]").all():
        box.check()
    page.wait_for_timeout(
        3_200
    )  # nobody answers seven questions sooner, and the page asks for that much patience
    press(page, WORDS[language]["on"])
    page.wait_for_url("**/page/you/")


def who(page: Page, name: str, language: str) -> None:
    page.locator("#id_name").fill(name)
    page.locator("#id_birth_date").fill("1988-04-02")
    page.locator("#id_phone").fill("212 555 0142")
    page.locator("#id_address").fill("19 Mill St, Larkwater")
    press(page, WORDS[language]["on"])
    page.wait_for_url("**/page/home/")


def to_the_end(page: Page, language: str) -> None:
    on = WORDS[language]["on"]
    page.locator("[name=people-0-name]").fill("Nell")
    press(page, on)
    page.locator("[name=incomes-0-amount]").fill("548")
    press(page, on)
    page.locator("#id_vehicle_class").select_option("sedan")
    page.locator("#id_vehicle_year").fill("2011")
    page.locator("#id_plate").fill("LRK 2040")
    page.locator("[name=drivable][value=unsafe]").check()
    press(page, on)
    page.locator("#id_complaint").fill("It grinds when I brake.")
    page.locator("#id_need").select_option("work")
    page.locator("[name=other_way][value=none]").check()
    press(page, on)
    for key in ("data", "work", "road_test"):
        page.locator(f"#id_yes_{key}").check()
    press(page, WORDS[language]["send"])


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_household_asks_from_a_small_phone_without_javascript(
    fund: Server, phone: Open, language: str
) -> None:
    page = phone()
    first_questions(page, fund, language)
    who(page, "Perpetua Vane", language)
    to_the_end(page, language)
    expect(page.get_by_role("heading", name=WORDS[language]["sent"])).to_be_visible()
    expect(page.get_by_text(WORDS[language]["line"])).to_be_visible()
    assert page.locator("html").get_attribute("lang") == language


def test_a_draft_goes_on_where_it_was_left_on_another_phone(fund: Server, phone: Open) -> None:
    page = phone()
    first_questions(page, fund, "en")
    link = page.get_by_label("Your link").input_value()
    who(page, "Ozias Thimble", "en")
    page.locator("[name=people-0-name]").fill("Somebody of mine")
    press(page, "More people")
    other = phone()
    other.goto(link)
    expect(other.get_by_role("heading", name="Your request, not sent yet")).to_be_visible()
    go_by(other, other.get_by_role("link", name="Who you are"))
    expect(other.locator("#id_name")).to_have_value("Ozias Thimble")
    other.goto(link)
    go_by(other, other.get_by_role("link", name="Go on"))
    expect(other.locator("[name=people-0-name]")).to_have_value("Somebody of mine")
    to_the_end(other, "en")
    page.goto(link)
    expect(page.get_by_role("heading", name="We have your request.")).to_be_visible()


def test_a_mistake_loses_nothing_and_neither_does_the_other_language(fund: Server, phone: Open) -> None:
    page = phone()
    first_questions(page, fund, "en")
    who(page, "Nell Carrow", "en")
    press(page, "Go on")
    page.locator("[name=incomes-0-amount]").fill("a lot")
    page.locator("#id_no_income_words").fill("My sister pays the phone.")
    press(page, "Go on")
    expect(page.get_by_role("alert")).to_contain_text(ENGLISH["wrong"])
    expect(page.locator("[name=incomes-0-amount]")).to_have_value("a lot")
    go_by(page, page.get_by_role("button", name="En español"))
    expect(page.locator("[name=incomes-0-amount]")).to_have_value("a lot")
    expect(page.locator("#id_no_income_words")).to_have_value("My sister pays the phone.")
    expect(page.get_by_role("heading", name="El dinero que entra")).to_be_visible()
    page.locator("[name=incomes-0-amount]").fill("548")
    page.locator("[name=incomes-0-amount]").press("Enter")
    page.wait_for_url("**/page/vehicle/")
    expect(page.get_by_role("heading", name="El vehículo")).to_be_visible()


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_is_clean_on_a_small_phone_and_with_letters_twice_as_large(
    fund: Server, phone: Open, language: str, scheme: str
) -> None:
    page = phone(javascript=True, scheme=scheme)
    first_questions(page, fund, language)
    link = page.locator("#own-link").input_value()
    words = WORDS[language]
    paths = (
        ["/ask-for-help/es/", "/ask-for-help/es/new/"]
        if language == "es"
        else ["/ask-for-help/", "/ask-for-help/new/"]
    )
    keys = ("questions", "you", "home", "money", "vehicle", "trouble", "yes")
    pages = [fund.root + path for path in paths] + [f"{link}page/{key}/" for key in keys]
    for address in [*pages, link, f"{link}before/", f"{link}throw-away/"]:
        assert_fits(page, address)
    page.goto(f"{link}page/money/")
    page.locator("[name=incomes-0-amount]").fill("a lot")
    press(page, words["on"])
    assert_axe_clean(page)
    page.goto(f"{link}page/you/")
    who(page, f"Wren {language} {scheme}", language)
    to_the_end_from_money_kept_wrong(page, link, language)
    for address in (link, f"{link}agreed/", f"{link}take-back/"):
        assert_fits(page, address)


def to_the_end_from_money_kept_wrong(page: Page, link: str, language: str) -> None:
    to_the_end(page, language)
    page.goto(link)
    expect(page.get_by_role("heading", name=WORDS[language]["sent"])).to_be_visible()


def assert_fits(page: Page, address: str) -> None:
    """axe finds nothing, and nothing scrolls sideways at 360 px, also with letters of 200%."""
    answer = page.goto(address)
    assert answer is not None and answer.status == 200, address
    assert_axe_clean(page)
    for size in ("100%", "200%"):
        page.evaluate("size => { document.documentElement.style.fontSize = size }", size)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= SMALL_PHONE["width"], f"{address} is {wide} px wide at {size}"
    cut = page.evaluate(
        """() => [...document.querySelectorAll('main button, main a.button, main label, main legend')]
            .filter(one => one.getClientRects().length && !one.closest('.visually-hidden')
                && !one.classList.contains('visually-hidden')
                && getComputedStyle(one).overflow === 'hidden' && one.scrollHeight > one.clientHeight + 2)
            .map(one => one.textContent.trim())"""
    )
    assert cut == [], address


def test_the_screener_decides_on_a_phone_and_the_household_sees_it(
    fund: Server, phone: Open, sign_in: Callable[[Page, Server, str], None]
) -> None:
    household = phone()
    first_questions(household, fund, "en")
    link = household.get_by_label("Your link").input_value()
    who(household, "Calla Farrow", "en")
    to_the_end(household, "en")
    code = re.findall(r"A-\d{4}", household.locator(".under").inner_text())[0]
    screener = phone(javascript=True)
    sign_in(screener, fund, "ines")
    screener.goto(f"{fund.root}/crew/intake/{code}/")
    assert_axe_clean(screener)
    expect(screener.get_by_role("heading", name="May be known already")).to_be_visible()
    go_by(screener, screener.get_by_role("link", name="Decide"))
    screener.get_by_role("group", name=re.compile("tie|know", re.IGNORECASE)).get_by_label("No").check()
    screener.get_by_label("more papers needed", exact=False).check()
    screener.get_by_label("In your own words").fill("A pay stub that is not older than 60 days.")
    assert_axe_clean(screener)
    go_by(screener, screener.get_by_role("button", name="Decide"))
    assert screener.url.endswith(f"/crew/intake/{code}/")
    the_letter_opens(screener)
    household.goto(link)
    expect(household.get_by_role("heading", name="We need to see some papers.")).to_be_visible()
    go_by(household, household.get_by_role("link", name="Take my request back"))
    go_by(household, household.get_by_role("button", name="Take my request back"))
    expect(household.get_by_role("heading", name="This request is closed.")).to_be_visible()


def the_letter_opens(screener: Page) -> None:
    """In both languages on the page, and as a file that says the screener's own words."""
    go_by(screener, screener.get_by_role("link", name="The figures it was based on").first)
    go_by(screener, screener.get_by_role("link", name="The letter to the household"))
    expect(screener.get_by_role("article")).to_contain_text("A pay stub that is not older than 60 days.")
    assert_axe_clean(screener)
    go_by(screener, screener.get_by_role("link", name="Spanish"))
    expect(screener.locator("article[lang=es]")).to_be_visible()
    file = screener.get_by_role("link", name="PDF").get_attribute("href")
    answer = screener.request.get(screener.url.split("/crew/")[0] + str(file))
    assert (answer.status, answer.body()[:5]) == (200, b"%PDF-")
    go_by(screener, screener.get_by_role("button", name="It goes out: keep it word for word"))
    expect(screener.get_by_role("heading", name="Letters that went out")).to_be_visible()
