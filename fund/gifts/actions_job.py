"""Posting a large payout file beside the page that asked for it, which tells meanwhile how far it is."""

from django.db import transaction

from fund import clock, long_work
from fund.access.guards import require
from fund.access.models import Person
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import ImportJob, PayoutFile
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone

LARGE = 1000  # rows; a smaller file is posted while the page waits


def rows_of(file: PayoutFile) -> int:
    return bytes(file.data).count(b"\n")


@transaction.atomic
def begin_job(*, by: Person, file: PayoutFile) -> ImportJob:
    """Take up the posting of a file; :func:`run_job` does it. Refuses while the same file is being posted."""
    require(by, "gift.import")
    hold_books()
    running = ImportJob.objects.select_for_update().filter(file=file, state="running")
    if running.filter(started_at__gt=long_work.given_up()).exists():
        raise AlreadyDone(f"{file.name} is being posted already.")
    return ImportJob.objects.create(file=file, by=by, rows=rows_of(file), started_at=clock.now())


def run_job(pk: int) -> ImportJob:
    """Post the file of a job and write down how it went: all of it, or nothing with the reasons."""
    job = ImportJob.objects.select_related("by", "file__layout__platform").get(pk=pk)

    def work(tick: long_work.Tick) -> str:
        file = job.file
        data = bytes(file.data)
        done = import_payout(by=job.by, data=data, filename=file.name, layout=file.layout, progress=tick)
        return done.sentence

    long_work.run(job, work)
    return job


def run_beside(job: ImportJob) -> None:
    """Run a job in a thread of its own."""
    pk = job.pk
    long_work.run_beside(lambda: run_job(pk), job.progress_name)
