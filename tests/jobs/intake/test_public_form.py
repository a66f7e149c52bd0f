"""Asking by the public form: page by page, kept as typed, sent once; machines slowed and nobody followed."""

import re
from datetime import date, timedelta
from html import unescape

import pytest
from django.core.management import call_command
from django.test import Client

from fund import clock
from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput
from fund.trail.models import TrailLine
from jobs.households.models import Household
from jobs.intake import pace
from jobs.intake.actions import open_application
from jobs.intake.actions_draft import begin_draft, drop_old_drafts, hash_of
from jobs.intake.actions_public import public_request
from jobs.intake.models import Application
from jobs.intake.models_draft import Draft, Pace
from jobs.intake.pages import PAGES
from jobs.intake.queries_same import suspects
from tests.jobs.intake.people import asking
from tests.jobs.intake.public import TYPED, draft_of, draft_with, rows, sent_by_form

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def minutes(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The machine's clock in seconds; the test moves it."""
    now = [1_000_000]
    monkeypatch.setattr(pace, "moment", lambda: now[0])
    return now


def begin(client: Client, minutes: list[int], typed: dict[str, str], url: str = "/ask-for-help/new/") -> str:
    """Answer the first questions as a person would; the address one is led to."""
    page = client.get(url).content.decode()
    shown = re.findall(r'name="shown" value="([^"]+)"', page)[0]
    minutes[0] += 20
    answer = client.post(url, typed | {"shown": shown})
    assert answer.status_code == 302, unescape(answer.content.decode())
    return answer["Location"]


def fill(client: Client, minutes: list[int], *keys: str, url: str = "/ask-for-help/new/") -> str:
    """Fill in pages from the first on; the private link."""
    link = begin(client, minutes, TYPED["questions"], url).split("page/")[0]
    for key in keys:
        assert client.post(f"{link}page/{key}/", TYPED[key]).status_code == 302
    return link


def test_a_household_asks_without_anyone_of_the_crew(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, *list(PAGES)[1:])
    application = Application.objects.get()
    household = application.household
    assert (application.taken_by, application.channel, application.state) == (None, "web", "waiting")
    assert (application.drivable, application.need, application.other_way) == ("unsafe", "work", "hard")
    assert (application.best_time, application.need_words) == ("after six", "I lose the night shift.")
    assert application.answers["insured"] == "yes"
    assert [key for key, yes in application.consents.items() if yes] == ["data", "work", "road test"]
    assert [(row.name, row.relation, row.birth_year) for row in household.members.all()] == [
        ("Wilhelmina Quarrender", "applicant", 1988),
        ("Ottoline Quarrender", "child", 2015),
    ]
    income = household.incomes.get()
    assert (income.amount, income.period, income.member.number) == (Money(548_00), "two weeks", 1)
    vehicle = household.vehicles.get()
    assert (vehicle.plate, vehicle.year, vehicle.registered_on) == ("LRK2040", 2011, date(2019, 5, 1))
    page = client.get(link).content.decode()
    assert "We have your request." in page
    assert "A-0001" in page


def test_the_trail_says_it_came_by_the_form_and_names_nobody(client: Client, minutes: list[int]) -> None:
    fill(client, minutes, *list(PAGES)[1:])
    lines = list(TrailLine.objects.filter(action__in=["application.open", "household.enter"]))
    assert [line.by for line in lines] == [None, None]
    told = " ".join(f"{line.subject} {line.text} {line.data}" for line in lines)
    assert "Request A-0001 of household H-0001 (Alder) came by the public form." in told
    assert not re.search("Quarrender|Wilhelmina|Cooper|555|Grinds|LRK", told)


def test_what_is_typed_is_kept_even_when_something_in_it_is_wrong(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes)
    wrong = TYPED["you"] | {"name": "", "best_time": "before noon"}
    answer = client.post(f"{link}page/you/", wrong)
    assert answer.status_code == 422
    assert "Please fill this in." in answer.content.decode()
    assert 'value="before noon"' in answer.content.decode()
    again = Client().get(f"{link}page/you/").content.decode()
    assert 'value="before noon"' in again
    assert "Please fill this in." not in again


@pytest.mark.parametrize(
    ("key", "changes", "words"),
    [
        ("you", {"phone": "", "address": ""}, "so that we can answer"),
        ("you", {"phone": "abc", "address": ""}, "This has too few digits."),
        ("you", {"phone": "212", "address": ""}, "This has too few digits."),
        ("you", {"birth_date": "2010-06-01"}, "You are under 18."),
        ("you", {"birth_date": "2030-06-01"}, "Write a day that has been"),
        ("you", {"email": "nobody"}, "This is not an e-mail address."),
        ("money", {"incomes-0-amount": "a lot"}, "Row 1. How much, before taxes: Write the amount like 450"),
        ("money", {"incomes-0-amount": "-5"}, "Write the amount like 450"),
        ("money", {"incomes-0-period": "hourly"}, "Pay by the hour needs the hours a week."),
        ("money", {"incomes-0-member": "9"}, "Row 1. Whose: "),
        ("home", {"people-0-name": "", "people-0-birth_year": "2015"}, "Row 1. Name: Please fill this in."),
        ("home", {"people-0-birth_year": "last year"}, "Write a whole number."),
        ("home", {"people-0-birth_year": "2031"}, "Row 1. Year of birth: This year has not come yet."),
        ("money", {"incomes-0-period": "hourly", "incomes-0-hours": "37.55"}, "Write it like 37.5."),
        ("money", {"incomes-0-period": "hourly", "incomes-0-hours": "169"}, "A week has 168."),
        ("money", {"incomes-0-kind": "lottery"}, "Row 1. What kind: Choose one."),
        ("vehicle", {"mileage": "10000000"}, "This must be 9999999 or less."),
        ("you", {"name": "N" * 121}, "Please say it in fewer words."),
        ("vehicle", {"vehicle_year": ""}, "Please write the model year too."),
        ("vehicle", {"vehicle_year": "2031"}, "has not come yet"),
        ("vehicle", {"drivable": ""}, "Choose one."),
        ("trouble", {"complaint": " "}, "Please fill this in."),
        ("yes", {"yes_data": ""}, "only if you tick the first box"),
        ("yes", {"yes_children": "on"}, "Tick the box for photos too"),
    ],
)
def test_a_mistake_is_told_in_plain_words_and_nothing_is_sent(
    client: Client, minutes: list[int], key: str, changes: dict[str, str], words: str
) -> None:
    link = fill(client, minutes, "you", "home")
    typed = {name: value for name, value in (TYPED[key] | changes).items() if value}
    answer = client.post(f"{link}page/{key}/", typed)
    assert answer.status_code == 422
    assert words in unescape(answer.content.decode())
    assert not Application.objects.exists()


def test_sending_with_a_page_left_out_leads_to_that_page(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you", "home", "money", "trouble")
    answer = client.post(f"{link}page/yes/", TYPED["yes"])
    assert answer["Location"] == f"{link}page/vehicle/?check=1"
    assert not Application.objects.exists()
    assert client.post(f"{link}page/vehicle/", TYPED["vehicle"]).status_code == 302
    assert client.post(f"{link}page/yes/", TYPED["yes"])["Location"] == link
    assert Application.objects.count() == 1


def test_the_link_opens_the_draft_on_another_phone(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you", "home")
    other = Client()
    page = other.get(link).content.decode()
    assert "Your request, not sent yet" in page
    assert page.count("filled in") == 3
    assert page.count("still to do") == 4
    assert 'value="Wilhelmina Quarrender"' in other.get(f"{link}page/you/").content.decode()


def test_a_draft_is_unreadable_in_the_database_and_its_link_is_not_there(
    client: Client, minutes: list[int]
) -> None:
    link = fill(client, minutes, "you")
    secret = link.rstrip("/").rsplit("/", 1)[1]
    assert len(secret) * 6 >= 128  # bits of chance in URL-safe Base64
    draft = Draft.objects.get()
    assert draft.secret_hash == hash_of(secret) != secret
    stored = Draft.objects.extra(select={"raw": "told"}).values_list("raw", flat=True)[0]
    assert "Quarrender" not in str(stored)
    assert draft.told["pages"]["you"]["name"] == "Wilhelmina Quarrender"


def test_after_sending_nothing_of_it_stays_in_the_draft(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, *list(PAGES)[1:])
    assert Draft.objects.get().told == {"language": "en"}
    assert client.get(f"{link}page/you/")["Location"] == link
    assert client.post(f"{link}page/you/", TYPED["you"])["Location"] == link
    assert client.post(f"{link}throw-away/")["Location"] == link
    assert Household.objects.count() == 1


def test_a_request_is_sent_once() -> None:
    secret = sent_by_form()
    with pytest.raises(AlreadyDone, match="was sent already"):
        public_request(draft=draft_of(secret), asking=asking(channel="web"))
    assert Application.objects.count() == 1


def test_only_the_public_form_comes_in_without_the_crew_and_only_as_such(screener: Person) -> None:
    draft, _ = draft_with({"questions": TYPED["questions"]})
    with pytest.raises(BadInput, match="comes by the public form"):
        public_request(draft=draft, asking=asking(channel="phone"))
    with pytest.raises(BadInput, match="filled in by the household itself"):
        open_application(by=screener, asking=asking(channel="web"))
    assert not Application.objects.exists()


def test_a_no_is_explained_before_anyone_tells_more(client: Client, minutes: list[int]) -> None:
    soft = begin(client, minutes, TYPED["questions"] | {"ask_insured": "no"})
    assert soft.endswith("/before/")
    page = client.get(soft).content.decode()
    assert "You can still ask." in page
    assert "we do not test it on the road" in page
    hard = begin(client, minutes, TYPED["questions"] | {"ask_own_use": "no"})
    assert "as it stands we cannot help" in client.get(hard).content.decode()
    assert begin(client, minutes, TYPED["questions"] | {"ask_license": "not sure"}).endswith("/page/you/")


def test_the_first_questions_need_an_answer_each(client: Client, minutes: list[int]) -> None:
    answer = client.post("/ask-for-help/new/", {"ask_license": "yes"})
    assert answer.status_code == 422
    assert answer.content.decode().count('class="error-text"') == 6
    assert not Draft.objects.exists()


def test_the_whole_form_speaks_spanish_and_changes_when_asked(client: Client, minutes: list[int]) -> None:
    link = begin(client, minutes, TYPED["questions"], "/ask-for-help/es/new/").split("page/")[0]
    page = client.get(f"{link}page/you/").content.decode()
    assert '<html lang="es">' in page
    assert "Fecha de nacimiento" in page
    typed = TYPED["you"] | {"best_time": "a las seis", "language": "en"}
    assert client.post(f"{link}page/you/", typed)["Location"] == f"{link}page/you/"
    page = client.get(f"{link}page/you/").content.decode()
    assert '<html lang="en">' in page
    assert 'value="a las seis"' in page


def test_the_language_of_the_first_page_changes_without_losing_an_answer(
    client: Client, minutes: list[int]
) -> None:
    answer = client.post("/ask-for-help/es/new/", {"ask_license": "no", "language": "es"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "¿Vive en la zona que atendemos?" in page
    assert re.search(r'name="ask_license" value="no"[^>]* checked', page)
    assert "error-text" not in page


def test_who_asked_in_spanish_is_written_to_in_spanish() -> None:
    assert draft_of(sent_by_form(language="es")).application.household.language == "es"  # type: ignore[union-attr]


def test_more_rows_come_without_judging_what_is_typed(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you")
    typed = {
        "people-TOTAL_FORMS": "3",
        "people-INITIAL_FORMS": "0",
        "people-0-name": "Ottoline",
        "more": "yes",
    }
    page = client.post(f"{link}page/home/", typed).content.decode()
    assert 'name="people-5-name"' in page
    assert 'value="Ottoline"' in page
    assert "error-text" not in page


@pytest.mark.parametrize("count", ["99999", "9" * 5000, "abc", "-1", ""])
def test_a_broken_number_of_rows_costs_nobody_what_was_typed(
    client: Client, minutes: list[int], count: str
) -> None:
    link = fill(client, minutes, "you", url="/ask-for-help/es/new/")
    typed = TYPED["home"] | {"people-TOTAL_FORMS": count, "people-0-birth_year": "el otro"}
    answer = client.post(f"{link}page/home/", typed)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    assert page.count("<fieldset") == 1
    assert 'value="Ottoline Quarrender"' in page
    assert "Not saved" not in page
    typed["people-0-birth_year"] = "2015"
    assert client.post(f"{link}page/home/", typed).status_code == 302
    people = draft_of(link.rstrip("/").rsplit("/", 1)[1]).told["pages"]["home"]
    assert people["people-0-name"] == "Ottoline Quarrender"


def test_more_rows_than_there_is_room_for_are_told_in_spanish(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you", url="/ask-for-help/es/new/")
    many = rows("people", *({"name": f"Persona {n}", "relation": "child"} for n in range(31)))
    page = client.post(f"{link}page/home/", many).content.decode()
    assert "Aquí caben 30 filas." in page
    assert page.count("<fieldset") == 30


@pytest.mark.parametrize("miles", ["125,000", "125 000", "125.000", " 125000 "])
def test_miles_are_read_as_people_write_them(miles: str) -> None:
    secret = sent_by_form(vehicle={"mileage": miles})
    assert draft_of(secret).application.household.vehicles.get().mileage == 125_000  # type: ignore[union-attr]


def test_a_draft_is_thrown_away_after_a_question(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you")
    assert "Throw it away?" in client.get(f"{link}throw-away/").content.decode()
    assert Draft.objects.exists()
    assert client.post(f"{link}throw-away/")["Location"] == "/ask-for-help/"
    assert not Draft.objects.exists()
    assert client.get(link).status_code == 404


def test_a_draft_that_nobody_touches_is_gone_after_thirty_days_and_a_request_is_not() -> None:
    begin_draft(language="en", page="questions", typed={})
    sent_by_form()
    with clock.at(date(2026, 3, 15) + timedelta(days=30)):
        assert drop_old_drafts() == 0
    with clock.at(date(2026, 3, 15) + timedelta(days=31)):
        begin_draft(language="en", page="questions", typed={})
        assert Draft.objects.filter(application=None).count() == 1
        assert Draft.objects.exclude(application=None).count() == 1


def test_the_nightly_command_deletes_old_drafts_too(capsys: pytest.CaptureFixture[str]) -> None:
    begin_draft(language="en", page="questions", typed={})
    with clock.at(date(2026, 3, 15) + timedelta(days=31)):
        call_command("forget_households", "--dry-run")
        assert Draft.objects.exists()
        call_command("forget_households")
    assert not Draft.objects.exists()
    assert "1 requests that were begun and never sent deleted." in capsys.readouterr().out


def test_a_draft_does_not_grow_without_end(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you")
    rows = {f"people-{row}-name": "x" * 1000 for row in range(30)}
    for prefix in ("people", "incomes"):
        key = "home" if prefix == "people" else "money"
        more = {name.replace("people", prefix): value * 2 for name, value in rows.items()}
        more |= {f"{prefix}-TOTAL_FORMS": "30", f"{prefix}-INITIAL_FORMS": "0"}
        answer = client.post(f"{link}page/{key}/", more)
        assert answer.status_code == 422
    assert "more text than we can keep" in answer.content.decode()


def test_a_link_that_was_never_given_leads_nowhere(client: Client) -> None:
    for place in ("", "page/you/", "agreed/", "take-back/", "second-look/", "before/", "throw-away/"):
        assert client.get(f"/ask-for-help/mine/{'A' * 32}/{place}").status_code == 404


def test_no_page_behind_the_link_is_kept_found_or_cookied(client: Client, minutes: list[int]) -> None:
    link = fill(client, minutes, "you")
    answer = Client().get(f"{link}page/you/")
    assert "no-store" in answer["Cache-Control"]
    assert answer["X-Robots-Tag"] == "noindex"
    assert set(answer.cookies) <= {"csrftoken"}
    assert answer["Referrer-Policy"] == "same-origin"
    assert "<script" not in answer.content.decode()


# Machines


def test_a_machine_that_fills_every_box_is_told_so_and_a_person_loses_nothing(
    client: Client, minutes: list[int]
) -> None:
    page = client.get("/ask-for-help/new/").content.decode()
    shown = re.findall(r'name="shown" value="([^"]+)"', page)[0]
    minutes[0] += 20
    typed = TYPED["questions"] | {"shown": shown}
    refused = client.post("/ask-for-help/new/", typed | {"website": "http://example.org"})
    assert refused.status_code == 422
    assert "Please leave the box empty that says so" in refused.content.decode()
    assert refused.content.decode().count("checked") == 7
    assert not Draft.objects.exists()
    assert client.post("/ask-for-help/new/", typed).status_code == 302


def test_a_machine_that_answers_at_once_has_to_press_again(client: Client, minutes: list[int]) -> None:
    page = client.get("/ask-for-help/new/").content.decode()
    shown = re.findall(r'name="shown" value="([^"]+)"', page)[0]
    typed = TYPED["questions"] | {"shown": shown}
    assert "That was very quick." in client.post("/ask-for-help/new/", typed).content.decode()
    minutes[0] += 4
    assert client.post("/ask-for-help/new/", typed).status_code == 302


@pytest.mark.parametrize("shown", ["", "made up", "MTAwMDAwMA:1abcde:xyz"])
def test_a_page_that_was_never_shown_cannot_be_sent_at_once(
    client: Client, minutes: list[int], shown: str
) -> None:
    answer = client.post("/ask-for-help/new/", TYPED["questions"] | {"shown": shown})
    assert answer.status_code == 422
    fresh = re.findall(r'name="shown" value="([^"]+)"', answer.content.decode())[0]
    minutes[0] += 4
    assert client.post("/ask-for-help/new/", TYPED["questions"] | {"shown": fresh}).status_code == 302


def test_one_address_begins_a_few_requests_an_hour_and_others_are_not_held_up(
    client: Client, minutes: list[int]
) -> None:
    for _ in range(pace.AT_MOST["begin"]):
        begin(client, minutes, TYPED["questions"])
    page = client.get("/ask-for-help/new/").content.decode()
    shown = re.findall(r'name="shown" value="([^"]+)"', page)[0]
    minutes[0] += 20
    typed = TYPED["questions"] | {"shown": shown}
    refused = client.post("/ask-for-help/new/", typed)
    assert refused.status_code == 422
    assert "Please wait a while, or call us." in refused.content.decode()
    assert client.post("/ask-for-help/new/", typed, REMOTE_ADDR="198.51.100.7").status_code == 302
    with clock.at(clock.now() + timedelta(hours=1)):
        assert client.post("/ask-for-help/new/", typed).status_code == 302


def test_no_address_is_kept_and_its_mark_is_gone_when_the_hour_is_over() -> None:
    pace.count("begin", "192.0.2.44")
    first = Pace.objects.get()
    assert "192.0.2.44" not in f"{first.mark}"
    with clock.at(clock.now() + timedelta(hours=1)):
        pace.count("begin", "192.0.2.44")
        second = Pace.objects.get()
    assert second.mark != first.mark
    assert second.times == 1


@pytest.mark.parametrize(
    ("https", "meta", "expected"),
    [
        (False, {"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "203.0.113.9"}, "192.0.2.1"),
        (
            True,
            {"REMOTE_ADDR": "127.0.0.1", "HTTP_X_FORWARDED_FOR": "1.1.1.1, 203.0.113.9"},
            "203.0.113.9",
        ),
        (True, {"REMOTE_ADDR": "127.0.0.1"}, "127.0.0.1"),
        (False, {"REMOTE_ADDR": "2001:db8:1:2:3:4:5:6"}, "2001:db8:1:2::/64"),
        (False, {"REMOTE_ADDR": ""}, "unknown"),
    ],
)
def test_who_is_counted_cannot_be_made_up_by_a_header(
    rf: object, settings: object, https: bool, meta: dict[str, str], expected: str
) -> None:
    settings.HTTPS = https  # type: ignore[attr-defined]
    request = rf.get("/")  # type: ignore[attr-defined]
    request.META.pop("REMOTE_ADDR", None)
    request.META.update(meta)
    assert pace.address_of(request) == expected


@pytest.mark.parametrize(
    ("key", "changes", "words"),
    [
        ("home", {"people-0-birth_year": "2031"}, "Ese año todavía no ha llegado."),
        ("money", {"incomes-0-period": "hourly", "incomes-0-hours": "37.55"}, "Con décimas de hora basta."),
        ("vehicle", {"mileage": "10000000"}, "Tiene que ser 9999999 o menos."),
        ("you", {"phone": "abc", "address": ""}, "Faltan cifras."),
        ("you", {"email": "nadie"}, "Esto no es un correo electrónico."),
        ("you", {"name": "N" * 121}, "Es demasiado largo."),
        ("money", {"incomes-0-kind": "loteria"}, "Elija"),
    ],
)
def test_a_mistake_is_told_at_its_box_in_spanish_too(
    client: Client, key: str, changes: dict[str, str], words: str
) -> None:
    pages = list(TYPED)
    before = {name: TYPED[name] for name in pages[: pages.index(key)]}
    _, secret = draft_with(before, "es")
    answer = client.post(f"/ask-for-help/mine/{secret}/page/{key}/", TYPED[key] | changes)
    assert answer.status_code == 422
    assert words in unescape(answer.content.decode())


def test_hours_of_a_week_are_taken_in_tenths() -> None:
    hourly = {"incomes-0-period": "hourly", "incomes-0-amount": "15.00"}
    secret = sent_by_form(money=hourly | {"incomes-0-hours": "37.5"})
    application = draft_of(secret).application
    assert application is not None
    assert application.household.incomes.get().hours == 3750


ODD = "1M8GDM9AXKPO42788"  # the published example of 49 CFR 565.15 with its 0 typed as O


def test_a_letter_that_no_vin_has_is_told_and_stops_nobody(client: Client) -> None:
    before = {key: TYPED[key] for key in ("questions", "you", "home", "money")}
    for language, words in (("en", "most likely a 1 or a 0"), ("es", "sea un 1 o un 0")):
        _, secret = draft_with(before, language)
        link = f"/ask-for-help/mine/{secret}/page"
        answer = client.post(f"{link}/vehicle/", TYPED["vehicle"] | {"vin": ODD})
        assert answer["Location"] == f"{link}/trouble/"
        page = unescape(client.get(f"{link}/trouble/").content.decode())
        assert words in page
        assert f"{link}/vehicle/" in page
    right = client.post(f"{link}/vehicle/", TYPED["vehicle"] | {"vin": ODD.replace("O", "0")})
    assert right.status_code == 302
    assert "sea un 1 o un 0" not in unescape(client.get(f"{link}/trouble/").content.decode())


def test_a_vin_typed_with_an_o_finds_its_twin_with_a_zero() -> None:
    first = draft_of(sent_by_form(vehicle={"vin": ODD.replace("O", "0"), "plate": ""})).application
    other = {"phone": "212 555 0199", "address": "4 Other Street", "birth_date": "1970-01-01"}
    second = draft_of(sent_by_form("Somebody Else", you=other, vehicle={"vin": ODD, "plate": ""})).application
    assert first is not None
    assert second is not None
    assert [(row.household, row.reasons) for row in suspects(second.household)] == [
        (first.household, ["the same VIN"])
    ]
    assert second.household.vehicles.get().vin == ODD  # kept as it was typed
