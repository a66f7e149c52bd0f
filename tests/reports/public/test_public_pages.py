import hashlib
import json
import re
from pathlib import Path

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fund.access.models import Person
from reports.month.models import PublishedMonth
from reports.public.rules import VERIFY_PROGRAM
from tests.reports.month.march import NAMES, PHONE, PLATE, STREET, VIN

PAGES = ("/", "/months/", "/months/2026-03/", "/how-it-works/", "/ask-for-help/", "/verify/")
FILES = (
    "record.json",
    "lines.csv",
    "month.pdf",
    "index.html",
    "book.css",
    "charts/money.svg",
    "charts/hours-dark.svg",
)


@pytest.fixture(autouse=True)
def _nothing_at_hand() -> None:
    cache.clear()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_makes_at_most_one_query_and_reads_published_months_only(
    path: str, told: PublishedMonth, client: Client
) -> None:
    for _ in range(2):  # made, then from the cache
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(path)
        assert answer.status_code == 200
        assert len(asked) <= 1
        tables = {name for query in asked for name in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])}
        assert tables <= {"reports_publishedmonth"}


@pytest.mark.parametrize("name", FILES)
def test_a_file_is_the_published_bytes_and_takes_one_query(
    name: str, told: PublishedMonth, client: Client
) -> None:
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(f"/months/2026-03/{name}")
    assert len(asked) == 1
    kept = told.files.get(name=name)
    assert answer.content == bytes(kept.content)
    assert answer["Content-Type"] == kept.content_type


@pytest.mark.parametrize("path", [*PAGES, "/months/2026-03/record.json", "/months/2026-03/charts/money.svg"])
def test_who_has_it_already_gets_304_without_a_body(path: str, told: PublishedMonth, client: Client) -> None:
    first = client.get(path)
    again = client.get(path, headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 304
    assert again.content == b""
    assert again["ETag"] == first["ETag"]
    assert client.get(path, headers={"If-None-Match": '"something else"'}).status_code == 200
    since = client.get(path, headers={"If-Modified-Since": first["Last-Modified"]})
    assert since.status_code == 304


def test_the_etag_changes_when_another_month_is_the_latest(told: PublishedMonth, client: Client) -> None:
    assert client.get("/")["ETag"] != client.get("/months/2026-02/")["ETag"]


def test_the_page_is_the_same_for_everyone(told: PublishedMonth, client: Client, owner: Person) -> None:
    stranger = client.get("/").content
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    answer = client.get("/")
    assert answer.content == stranger
    assert "Cookie" not in answer.get("Vary", "")


def test_supporters_see_the_money_first(told: PublishedMonth, client: Client) -> None:
    page = client.get("/").content.decode()
    order = [
        page.index(f'id="{name}"') for name in ("money", "repairs", "charts", "hours", "later", "signed")
    ]
    assert order == sorted(order)
    for shown in ("4,563.15", "2,526.00", "1,336.09", "5,753.06", "$3,902.91", told.digest):
        assert shown in page


def test_every_table_scrolls_by_itself_where_it_is_too_wide(told: PublishedMonth, client: Client) -> None:
    # At 360 px with letters of 200% a table outside such a region widens the whole page.
    page = client.get("/").content.decode()
    regions = re.findall(
        r'<div class="table-scroll" role="region" tabindex="0" aria-label="[^"]+">\s*<table', page
    )
    assert len(regions) == page.count("<table") > 5


def test_every_chart_has_words_and_a_table(told: PublishedMonth, client: Client) -> None:
    page = client.get("/").content.decode()
    drawings = re.findall(r'<img src="(/months/2026-03/charts/\w+\.svg)" alt="([^"]{40,})"', page)
    assert len(drawings) == 4
    assert page.count("<details>") >= 4
    for address, _ in drawings:
        assert client.get(address).status_code == 200
        assert client.get(address.replace(".svg", "-dark.svg")).status_code == 200


def test_nothing_private_is_on_any_public_page(told: PublishedMonth, client: Client) -> None:
    private = [
        *NAMES,
        *(part for name in NAMES for part in name.split()),
        VIN,
        PLATE,
        PHONE,
        STREET,
        "Tannery",
    ]
    for path in (*PAGES, "/months/2026-02/"):
        page = client.get(path).content.decode()
        assert [value for value in private if value in page] == [], path


@pytest.mark.parametrize(
    "path",
    [
        "/months/2026-01/",
        "/months/2026-13/",
        "/months/x/",
        "/months/2026-03/secret.txt",
        "/months/2026-03/../x",
    ],
)
def test_what_is_not_published_is_not_found(path: str, told: PublishedMonth, client: Client) -> None:
    assert client.get(path).status_code == 404


def test_pages_only_answer_to_reading(told: PublishedMonth, client: Client) -> None:
    assert {client.post(path).status_code for path in PAGES} == {405}


def test_the_income_line_is_the_published_one(told: PublishedMonth, client: Client) -> None:
    # HHS Poverty Guidelines 2026 (91 FR 1797), 48 states: 27,320 for three; at 200 percent 54,640.
    page = client.get("/how-it-works/").content.decode()
    assert "54,640.00" in page
    assert "200 percent of the 2026 poverty guideline" in page
    assert "$54,640.00" in client.get("/ask-for-help/").content.decode()


def test_how_money_is_promised_tells_both_limits_of_one_persons_yes(
    told: PublishedMonth, client: Client
) -> None:
    page = client.get("/how-it-works/").content.decode()
    assert "Above $750.00, or above 25% of what is free, it takes a second person." in page


def test_a_drawing_may_use_its_own_styles_and_nothing_else(told: PublishedMonth, client: Client) -> None:
    policy = client.get("/months/2026-03/charts/money.svg")["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "style-src 'unsafe-inline'" in policy
    assert "unsafe-inline" not in client.get("/")["Content-Security-Policy"]


def _run(
    program: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> list[str]:
    monkeypatch.chdir(folder)
    exec(compile(program, "verify.py", "exec"), {})
    return capsys.readouterr().out.splitlines()


def test_the_program_on_the_page_verifies_the_chain_and_finds_a_changed_byte(
    told: PublishedMonth,
    client: Client,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    from html import unescape

    page = client.get("/verify/").content.decode()
    shown = unescape(page.split("<code>")[-1].split("</code>")[0])
    assert shown == VERIFY_PROGRAM
    for month in ("2026-02", "2026-03"):
        (tmp_path / f"{month}.json").write_bytes(client.get(f"/months/{month}/record.json").content)
    said = _run(shown, tmp_path, monkeypatch, capsys)
    assert said[1] == f"2026-03 {told.digest} chained foots"
    february = tmp_path / "2026-02.json"
    february.write_bytes(february.read_bytes().replace(b"456315", b"456316", 1))
    assert "BROKEN CHAIN" in _run(shown, tmp_path, monkeypatch, capsys)[1]
    march = tmp_path / "2026-03.json"
    march.write_bytes(march.read_bytes().replace(b'"total_in":252600', b'"total_in":252601'))
    assert "DOES NOT FOOT" in _run(shown, tmp_path, monkeypatch, capsys)[1]


def test_the_record_on_the_site_gives_the_digest_on_the_page(told: PublishedMonth, client: Client) -> None:
    record = client.get("/months/2026-03/record.json").content
    assert hashlib.sha256(record).hexdigest().encode() in client.get("/months/2026-03/").content
    assert json.loads(record)["month"] == "2026-03"
