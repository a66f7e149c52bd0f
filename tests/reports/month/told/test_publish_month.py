import hashlib
import io
import json
from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from pypdf import PdfReader

from fund import clock
from fund.access.models import Person
from fund.ledger.actions import post
from fund.ledger.chart import BANK, GIFTS
from fund.ledger.rules import EntryDraft, cr, dr
from fund.refusal import AlreadyDone, NotAllowed, NotReady, TwoPeopleNeeded, Unbalanced
from fund.trail.models import TrailLine
from jobs.repairs.models import RepairOrder
from reports.month.actions import close_month, publish_month, word_repair
from reports.month.models import PublishedFile, PublishedMonth
from reports.month.proofs import figure_breaks, file_breaks, record_breaks
from reports.month.rules_record import canonical
from tests.fund.receipts.makers import m
from tests.reports.month.lived import AFTER
from tests.reports.month.march import NAMES, PHONE, PLATE, STREET, VIN, Crew


def record(published: PublishedMonth) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(published.record)
    return read


def test_the_record_holds_the_month_and_gives_its_digest(published: PublishedMonth) -> None:
    assert published.digest == hashlib.sha256(published.record.encode()).hexdigest()
    assert published.record == canonical(record(published))
    told = record(published)
    assert [told[key] for key in ("opening", "total_in", "total_out", "closing")] == [
        456315,
        252600,
        133609,
        575306,
    ]
    assert told["promise"]["free_to_commit"] == 390291
    assert told["hours"]["tenths"] == 91
    assert sum(part["cents"] for part in told["dollar"]) == 100


def test_each_record_carries_the_digest_of_the_one_before(published: PublishedMonth) -> None:
    first = PublishedMonth.objects.get(month="2026-02")
    assert first.prev_digest == ""
    assert record(first)["previous_digest"] is None
    assert published.prev_digest == first.digest == record(published)["previous_digest"]
    assert [line["month"] for line in record(published)["history"]] == ["2026-02", "2026-03"]


def test_a_published_month_cannot_be_changed_or_deleted_by_any_way(published: PublishedMonth) -> None:
    for sql in (
        "UPDATE reports_publishedmonth SET record = '{}'",
        "DELETE FROM reports_publishedfile",
        "DELETE FROM reports_publishedmonth",
        "UPDATE reports_publishedfile SET sha256 = ''",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    with pytest.raises(DatabaseError), transaction.atomic():
        PublishedMonth.objects.update(digest="0" * 64)


def test_the_proofs_find_nothing_wrong(published: PublishedMonth) -> None:
    assert [*record_breaks(), *file_breaks(), *figure_breaks()] == []


def test_the_files_are_all_there_and_hold_what_they_say(published: PublishedMonth) -> None:
    files = {file.name: bytes(file.content) for file in PublishedFile.objects.filter(published=published)}
    drawn = {
        f"charts/{name}{end}.svg" for name in ("money", "balance", "dollar", "hours") for end in ("", "-dark")
    }
    assert (
        files.keys()
        == {"record.json", "lines.csv", "month.pdf", "index.html", "book.css", "month.css"} | drawn
    )
    assert files["record.json"].decode() == published.record
    assert record(published)["lines_sha256"] == hashlib.sha256(files["lines.csv"]).hexdigest()
    words = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(files["month.pdf"])).pages)
    for shown in ("5,753.06", "3,902.91", "Alder", published.digest):
        assert shown in words.replace("\n", "") or shown in words
    page = files["index.html"].decode()
    assert 'src="charts/money.svg"' in page
    assert "5,753.06" in page
    assert "http" not in page.replace("http://www.w3.org", "")


def test_every_ledger_line_is_in_the_csv_and_balances(published: PublishedMonth) -> None:
    text = bytes(PublishedFile.objects.get(published=published, name="lines.csv").content).decode()
    rows = [row.split(",") for row in text.strip().splitlines()]
    assert rows[0][0] == "entry"
    debit = sum(int(row[-2].replace(".", "")) for row in rows[1:])
    credit = sum(int(row[-1].replace(".", "")) for row in rows[1:])
    assert debit == credit > 0


def test_nothing_private_is_in_anything_published(published: PublishedMonth) -> None:
    # A yes to help is a yes to nothing else: each of these values was given to the crew in this month.
    private = [
        *NAMES,
        *(part for name in NAMES for part in name.split()),
        VIN,
        PLATE,
        PHONE,
        STREET,
        "Tannery",
        "Check writer",
        "Member 1",
    ]
    for file in PublishedFile.objects.all():
        content = bytes(file.content)
        if file.name.endswith(".pdf"):
            content = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).encode()
        words = content.decode()
        assert [value for value in private if value in words] == [], file.name
        assert "RO-00" not in words


def test_small_counts_are_told_as_a_span(published: PublishedMonth) -> None:
    # Five asked (may be told); one still waits (may not); none was declined (zero may be told).
    counts = record(published)["counts"]
    assert counts["asked"] == [5, 5]
    assert counts["waiting"] == [1, 4]
    assert counts["declined"] == [0, 0]
    assert counts["helped"] == 4
    assert record(published)["repair_costs"] is None


def test_a_month_is_published_once(published: PublishedMonth, crew: Crew) -> None:
    with pytest.raises(AlreadyDone, match="2026-03 was published on 2026-04-03"):
        publish_month(by=crew.owner, month="2026-03")


def test_only_a_closed_month_is_published(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with pytest.raises(NotReady, match="not closed"):
        publish_month(by=crew.owner, month="2026-03")


def test_only_the_owner_publishes(
    closed: dict[str, RepairOrder], treasurer: Person, accountant: Person
) -> None:
    for person in (treasurer, accountant):
        with pytest.raises(NotAllowed):
            publish_month(by=person, month="2026-03")


def test_one_person_for_both_needs_a_reason_and_the_page_says_so(
    orders: dict[str, RepairOrder], crew: Crew
) -> None:
    with clock.at(AFTER):
        close_month(by=crew.owner, month="2026-03")
        with pytest.raises(TwoPeopleNeeded, match="Maren Holt closed this month and so prepared it"):
            publish_month(by=crew.owner, month="2026-03")
        done = publish_month(by=crew.owner, month="2026-03", reason="the treasurer is away for surgery")
    assert record(done)["people"]["independent"] is False
    page = bytes(PublishedFile.objects.get(published=done, name="index.html").content).decode()
    assert "Not independently reviewed" in page
    assert "the treasurer is away for surgery" in page


def test_two_people_are_named(published: PublishedMonth) -> None:
    page = bytes(PublishedFile.objects.get(published=published, name="index.html").content).decode()
    assert "Prepared by Odell Price. Reviewed by Maren Holt." in page


def test_publishing_leaves_a_line_in_the_trail(published: PublishedMonth, crew: Crew) -> None:
    line = TrailLine.objects.get(action="month.publish", subject="2026-03")
    assert line.by == crew.owner
    assert line.data["digest"] == published.digest


def test_figures_that_do_not_foot_are_refused_naming_the_difference(
    closed: dict[str, RepairOrder], crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    from reports.month import actions
    from reports.month.rules_figures import Turnover

    true = actions.figures_of

    def off(month: str) -> Any:
        from dataclasses import replace

        figures = true(month)
        bank = figures.bank
        return replace(figures, bank=Turnover(bank.opening, bank.more + m("0.01"), bank.less, bank.closing))

    monkeypatch.setattr(actions, "figures_of", off)
    with clock.at(AFTER), pytest.raises(Unbalanced) as refused:
        publish_month(by=crew.owner, month="2026-03")
    assert "The bank does not foot: it is off by 0.01." in refused.value.details
    assert not PublishedMonth.objects.filter(month="2026-03").exists()


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("grinding, said Quillon", "a name"),
        ("from 418 Tannery Bend", "a street"),
        ("plate KLM 4471", "a plate"),
        ("call 555 0100", "a telephone number"),
        ("VIN 1M8GDM9AXKP042788", "a VIN"),
        ("came in on March 4", "a date"),
    ],
)
def test_a_story_with_something_private_stops_publishing_until_it_is_reworded(
    closed: dict[str, RepairOrder], crew: Crew, words: str, kind: str
) -> None:
    order = closed["A"]
    RepairOrder.objects.filter(pk=order.pk).update(complaint=words)
    with clock.at(AFTER):
        with pytest.raises(NotReady) as refused:
            publish_month(by=crew.owner, month="2026-03")
        assert any(kind in line for line in refused.value.details)
        assert words not in str(refused.value)
        assert not PublishedMonth.objects.filter(month="2026-03").exists()
        with pytest.raises(NotReady):
            word_repair(by=crew.treasurer, repair=order.number, text=f"Brakes: {words}")
        word_repair(by=crew.treasurer, repair=order.number, text="Grinding brakes; new pads and rotors.")
        done = publish_month(by=crew.owner, month="2026-03")
    told = {repair["alias"]: repair["story"] for repair in record(done)["repairs"]}
    assert told[order.alias] == "Grinding brakes; new pads and rotors."


def test_a_leak_that_only_a_finished_file_would_show_stops_publishing(
    published: PublishedMonth, crew: Crew
) -> None:
    # The kind of an entry is a column of lines.csv and stands nowhere in the record's own texts.
    with clock.at(date(2026, 4, 20)):
        lines = [dr(BANK, m("5.00")), cr(GIFTS, m("5.00"))]
        post(by=crew.treasurer, draft=EntryDraft(NAMES[0], date(2026, 4, 20), "Gift", lines))
    with clock.at(date(2026, 5, 2)):
        close_month(by=crew.treasurer, month="2026-04")
        with pytest.raises(NotReady) as refused:
            publish_month(by=crew.owner, month="2026-04")
    assert [line.split(" of ")[0] for line in refused.value.details] == ["lines.csv holds a name"]


def test_a_late_fact_is_told_in_the_month_it_came_to_light(
    published: PublishedMonth, crew: Crew, closed: dict[str, RepairOrder]
) -> None:
    # A part of job A went back a month later: 21.65 of its 182.29. Published stays, and now it is 160.64.
    number = closed["A"].number
    with clock.at(date(2026, 4, 20)):
        lines = [dr(BANK, m("21.65")), cr("5000", m("21.65"), cost_object=number)]
        post(by=crew.treasurer, draft=EntryDraft("return", date(2026, 3, 31), "Part went back", lines))
    with clock.at(date(2026, 5, 2)):
        close_month(by=crew.treasurer, month="2026-04")
        april = publish_month(by=crew.owner, month="2026-04")
    alias = closed["A"].alias
    assert record(april)["later_changes"] == [
        {
            "concerns": "2026-03",
            "label": "Parts for repairs",
            "amount": -2165,
            "alias": alias,
            "published": 18229,
            "now": 16064,
        }
    ]
    told = {repair["alias"]: repair for repair in record(published)["repairs"]}
    assert told[alias]["cost_to_date"] == 18229
    page = bytes(PublishedFile.objects.get(published=april, name="index.html").content).decode()
    assert "as published 182.29, now 160.64" in page


def test_a_month_without_repairs_is_published_too(published: PublishedMonth, crew: Crew) -> None:
    with clock.at(date(2026, 5, 2)):
        RepairOrder.objects.filter(state="approved").update(handed_back_on=date(2026, 3, 31))
        from fund.commitments.actions import release

        number = RepairOrder.objects.get(state="approved").number
        release(by=crew.owner, cost_object=number, reason="withdrawn", on=date(2026, 4, 2))
        close_month(by=crew.treasurer, month="2026-04")
        april = publish_month(by=crew.owner, month="2026-04")
    told = record(april)
    assert told["repairs"] == []
    assert told["total_in"] == told["total_out"] == 0
    page = bytes(PublishedFile.objects.get(published=april, name="index.html").content).decode()
    assert "No repair cost money or took hours this month." in page


def test_the_same_month_published_from_the_same_books_gives_the_same_bytes(published: PublishedMonth) -> None:
    from reports.month.bundle import build

    files = {file.name: bytes(file.content) for file in published.files.all()}
    again = build(published.record, files["lines.csv"], published.published_at)
    assert {file.name: file.content for file in again} == files
