"""A statement of thousands of lines: taken beside its page, which tells how far it is."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock, progress
from fund.access.models import Person
from fund.bank import actions_job, views_statements
from fund.bank.actions_job import begin_job, run_job
from fund.bank.actions_upload import drop_upload, keep_upload
from fund.bank.models import StatementJob, StatementLine, StatementUpload
from fund.bank.rules import OPENING
from fund.refusal import AlreadyDone, NotAllowed
from tests.fund.bank.files import ofx, trn

SignIn = Callable[[Person], Client]


def year(lines: int = 2400) -> bytes:
    rows = [trn(f"n{at}", f"202603{at % 14 + 1:02}", "0.01", f"Line {at}") for at in range(lines)]
    return ofx(rows, f"{lines / 100:.2f}", "20260315")


def kept(by: Person) -> StatementUpload:
    return keep_upload(by=by, data=year(), filename="year.ofx")


def stored() -> int:
    return StatementLine.objects.exclude(ref__startswith=OPENING).count()


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


@pytest.fixture
def beside(monkeypatch: pytest.MonkeyPatch) -> list[StatementJob]:
    """The thread's part is done by hand here: a second thread would not see the test's own transaction."""
    begun: list[StatementJob] = []
    monkeypatch.setattr(views_statements, "run_beside", begun.append)
    return begun


def test_the_page_tells_how_far_it_is_and_what_came_of_it(
    treasurer: Person, client_for: SignIn, beside: list[StatementJob]
) -> None:
    client, upload = client_for(treasurer), kept(treasurer)
    answer = client.post(reverse("bank:upload-take", args=[upload.pk]))
    job = StatementJob.objects.get()
    address = reverse("bank:upload-job", args=[job.pk])
    assert (answer["Location"], beside) == (address, [job])
    progress.tell(job.progress_name, 1000)
    page = text_of(client.get(address))
    assert '<progress value="1000" max="2400">1000 of 2400</progress>' in page
    assert 'http-equiv="refresh"' in page
    part = client.get(address, headers={"HX-Request": "true"})
    assert "<html" not in part.content.decode()

    run_job(job.pk)
    page = text_of(client.get(address))
    assert "2400 new lines" in page
    assert reverse("bank:match") in page
    assert "hx-trigger" not in page
    assert (stored(), StatementUpload.objects.count()) == (2400, 0)


def test_lines_are_told_while_they_are_written(treasurer: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[int] = []
    monkeypatch.setattr("fund.long_work.progress.tell", lambda name, rows: told.append(rows))
    run_job(begin_job(by=treasurer, upload=kept(treasurer)).pk)
    assert told[-1] >= 2400
    assert told == sorted(told)
    assert len(told) > 3


def test_a_file_that_no_longer_joins_takes_nothing_and_tells_why(
    treasurer: Person, client_for: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    upload = kept(treasurer)
    job = begin_job(by=treasurer, upload=upload)
    other = keep_upload(
        by=treasurer, data=ofx([trn("x1", "20260310", "5.00")], "77.00", "20260312"), filename="m.ofx"
    )
    run_job(begin_job(by=treasurer, upload=other).pk)
    before = stored()
    run_job(job.pk)
    page = text_of(client_for(treasurer).get(reverse("bank:upload-job", args=[job.pk])))
    assert "Nothing was taken." in page
    assert reverse("bank:upload-preview", args=[upload.pk]) in page
    assert stored() == before


def test_a_file_dropped_meanwhile_is_not_taken(treasurer: Person) -> None:
    upload = kept(treasurer)
    job = begin_job(by=treasurer, upload=upload)
    drop_upload(by=treasurer, upload=upload)
    assert run_job(job.pk).answer == "year.ofx was dropped meanwhile."
    assert stored() == 0


def test_a_file_is_not_taken_by_two_jobs_at_once(treasurer: Person) -> None:
    upload = kept(treasurer)
    begin_job(by=treasurer, upload=upload)
    with pytest.raises(AlreadyDone, match=r"year\.ofx is being taken already\."):
        begin_job(by=treasurer, upload=upload)


def test_a_job_whose_server_went_down_says_so(treasurer: Person, client_for: SignIn) -> None:
    dead = begin_job(by=treasurer, upload=kept(treasurer))
    with clock.at(dead.started_at + timedelta(minutes=11)):
        page = text_of(client_for(treasurer).get(reverse("bank:upload-job", args=[dead.pk])))
    assert "It stopped before its end." in page
    assert "hx-trigger" not in page


def test_a_small_statement_is_taken_at_once(
    treasurer: Person, client_for: SignIn, beside: list[StatementJob]
) -> None:
    upload = keep_upload(by=treasurer, data=year(3), filename="month.ofx")
    assert not actions_job.is_large(upload)
    client_for(treasurer).post(reverse("bank:upload-take", args=[upload.pk]))
    assert (stored(), beside) == (3, [])


def test_only_who_reconciles_begins_a_job(treasurer: Person, owner: Person) -> None:
    with pytest.raises(NotAllowed):
        begin_job(by=owner, upload=kept(treasurer))
