"""Taking a large statement beside the page that asked for it, which tells meanwhile how far it is."""

from django.db import transaction

from fund import clock, long_work
from fund.access.guards import require
from fund.access.models import Person
from fund.bank.actions_import import import_statement
from fund.bank.models import StatementJob, StatementUpload
from fund.bank.rules_reading import read_statement
from fund.ledger.lock import hold_books
from fund.refusal import AlreadyDone

LARGE = 150_000  # bytes, about a thousand lines; a smaller file is taken while the page waits


def is_large(upload: StatementUpload) -> bool:
    return len(upload.data) > LARGE


@transaction.atomic
def begin_job(*, by: Person, upload: StatementUpload) -> StatementJob:
    """Take up the import of a kept file; :func:`run_job` does it. Refuses while the same file is being taken."""
    require(by, "bank.reconcile")
    hold_books()
    running = StatementJob.objects.select_for_update().filter(upload=upload, state="running")
    if running.filter(started_at__gt=long_work.given_up()).exists():
        raise AlreadyDone(f"{upload.name} is being taken already.")
    layout = upload.layout
    lines = sum(
        len(sheet.rows) for sheet in read_statement(bytes(upload.data), layout.spec if layout else None)
    )
    steps = (
        lines * 2 if layout else lines
    )  # a CSV tells of reading and of writing, the others of writing alone
    return StatementJob.objects.create(
        upload=upload, name=upload.name, by=by, rows=steps, started_at=clock.now()
    )


def run_job(pk: int) -> StatementJob:
    """Import the file of a job and write down how it went: all of it, or nothing with the reasons."""
    job = StatementJob.objects.select_related("by", "upload__layout").get(pk=pk)

    def work(tick: long_work.Tick) -> str:
        kept = job.upload
        if kept is None:
            raise AlreadyDone(f"{job.name} was dropped meanwhile.")
        with transaction.atomic():
            done = import_statement(
                by=job.by,
                data=bytes(kept.data),
                filename=kept.name,
                layout=kept.layout,
                opening=kept.opening,
                closing=kept.closing,
                progress=tick,
            )
            StatementUpload.objects.filter(pk=kept.pk).delete()
        return done.sentence

    long_work.run(job, work)
    return job


def run_beside(job: StatementJob) -> None:
    """Run a job in a thread of its own."""
    pk = job.pk
    long_work.run_beside(lambda: run_job(pk), job.progress_name)
