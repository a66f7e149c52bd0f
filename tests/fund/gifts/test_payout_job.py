"""A payout file of a thousand rows and more: posted beside its page, which tells how far it is."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fund import clock, progress
from fund.access.models import Person
from fund.gifts import views_payout
from fund.gifts.actions_job import begin_job, run_job
from fund.gifts.actions_payout import import_payout, keep_file
from fund.gifts.models import Gift, ImportJob, Payout, PayoutFile
from fund.ledger.models import Entry
from fund.refusal import AlreadyDone, NotAllowed
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer

SignIn = Callable[[Person], Client]


def large(off: str = "0.00", rows: int = 1200) -> bytes:
    gifts = [pledge(f"ch{n}", "03/02/2026", "5.00", **{"Member No": f"m{n}"}) for n in range(rows)]
    net = f"{rows * 5 + int(off.replace('.', '')) / 100:.2f}"
    return patch_file(*gifts, transfer("T1", "03/06/2026", net))


def kept(by: Person, data: bytes) -> PayoutFile:
    return keep_file(by=by, data=data, filename="year.csv", layout=patch_circle())


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


@pytest.fixture
def beside(monkeypatch: pytest.MonkeyPatch) -> list[ImportJob]:
    """The thread's part is done by hand here: a second thread would not see the test's own transaction."""
    begun: list[ImportJob] = []
    monkeypatch.setattr(views_payout, "run_beside", begun.append)
    return begun


def test_the_page_tells_how_far_it_is_and_what_came_of_it(
    treasurer: Person, client_for: SignIn, beside: list[ImportJob]
) -> None:
    client, file = client_for(treasurer), kept(treasurer, large())
    answer = client.post(reverse("gifts:payout-post", args=[file.pk]))
    job = ImportJob.objects.get()
    address = reverse("gifts:payout-job", args=[job.pk])
    assert (answer["Location"], beside) == (address, [job])
    progress.tell(job.progress_name, 500)
    page = text_of(client.get(address))
    assert '<progress value="500" max="1202">500 of 1202</progress>' in page
    assert "500 of 1202, rows read." in page
    assert 'http-equiv="refresh"' in page  # without a script the page asks again by itself

    progress.tell(job.progress_name, 1200)
    part = client.get(address, headers={"HX-Request": "true"})
    assert "1200 of 1202, being written to the books." in text_of(part)
    assert "<html" not in part.content.decode()

    run_job(job.pk)
    page = text_of(client.get(address))
    assert "1201 posted, 0 already booked." in page
    assert reverse("gifts:payout", args=[Payout.objects.get().pk]) in page
    assert 'http-equiv="refresh"' not in page
    assert "hx-trigger" not in page
    assert progress.told(job.progress_name) == 0
    assert Gift.objects.count() == 1200


def test_rows_are_told_while_they_are_read(treasurer: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[int] = []
    monkeypatch.setattr("fund.long_work.progress.tell", lambda name, rows: told.append(rows))
    run_job(begin_job(by=treasurer, file=kept(treasurer, large())).pk)
    assert told == [500, 1000]


def test_a_refused_file_posts_nothing_and_tells_why(
    treasurer: Person, client_for: SignIn, beside: list[ImportJob]
) -> None:
    client, file = client_for(treasurer), kept(treasurer, large(off="0.01"))
    address = client.post(reverse("gifts:payout-post", args=[file.pk]))["Location"]
    run_job(beside[0].pk)
    page = text_of(client.get(address))
    assert "Nothing was posted." in page
    assert "0.01 too much" in page
    assert reverse("gifts:payout-file", args=[file.pk]) in page
    assert not Entry.objects.exists()


def test_a_program_that_fails_is_told_too_and_nothing_stays(
    treasurer: Person, client_for: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(**_: object) -> None:
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("fund.gifts.actions_job.import_payout", fails)
    job = run_job(begin_job(by=treasurer, file=kept(treasurer, large())).pk)
    assert (job.state, job.answer) == ("refused", "The program failed and nothing was written. Try again.")
    page = text_of(client_for(treasurer).get(reverse("gifts:payout-job", args=[job.pk])))
    assert "Nothing was posted." in page


def test_a_file_is_not_posted_by_two_jobs_at_once(treasurer: Person) -> None:
    file = kept(treasurer, large())
    begin_job(by=treasurer, file=file)
    with pytest.raises(AlreadyDone, match=r"year\.csv is being posted already\."):
        begin_job(by=treasurer, file=file)


def test_a_job_whose_server_went_down_says_so_and_is_begun_anew(
    treasurer: Person, client_for: SignIn
) -> None:
    file = kept(treasurer, large())
    dead = begin_job(by=treasurer, file=file)
    with clock.at(dead.started_at + timedelta(minutes=11)):
        page = text_of(client_for(treasurer).get(reverse("gifts:payout-job", args=[dead.pk])))
        assert "It stopped before its end." in page
        assert "hx-trigger" not in page
        again = run_job(begin_job(by=treasurer, file=file).pk)
    assert again.state == "done"


def test_a_second_time_posts_nothing(treasurer: Person) -> None:
    file = kept(treasurer, large())
    run_job(begin_job(by=treasurer, file=file).pk)
    assert run_job(begin_job(by=treasurer, file=file).pk).answer == "0 posted, 1201 already booked."


def test_a_small_file_is_posted_at_once(
    treasurer: Person, client_for: SignIn, beside: list[ImportJob]
) -> None:
    file = kept(treasurer, large(rows=3))
    client_for(treasurer).post(reverse("gifts:payout-post", args=[file.pk]))
    assert Gift.objects.count() == 3
    assert not beside


def test_only_who_imports_begins_a_job(treasurer: Person, volunteer: Person) -> None:
    with pytest.raises(NotAllowed):
        begin_job(by=volunteer, file=kept(treasurer, large()))


def test_the_import_calls_its_progress_for_every_five_hundred_rows(treasurer: Person) -> None:
    seen: list[int] = []
    import_payout(by=treasurer, data=large(), filename="y.csv", layout=patch_circle(), progress=seen.append)
    assert seen == [500, 500]
