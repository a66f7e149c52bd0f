"""Proving the books from a page: at once when they are small, beside the page when they are large."""

from django.db import transaction

from fund import clock, long_work
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.models import Entry
from fund.refusal import AlreadyDone
from reports.position.models import Verification
from reports.position.proofs import ALL_PROOFS, prove_all

LARGE = 5_000  # entries; fewer are proved in about a second, while the page waits


@transaction.atomic
def begin_verification(*, by: Person) -> Verification:
    """Take up a proof of all the books; :func:`run_verification` makes it. Refuses while another one is running."""
    require(by, "books.see")
    running = Verification.objects.select_for_update().filter(state="running")
    if running.filter(started_at__gt=long_work.given_up()).exists():
        raise AlreadyDone("The books are being verified already.")
    return Verification.objects.create(by=by, rows=len(ALL_PROOFS), started_at=clock.now())


def run_verification(pk: int) -> Verification:
    """Make every proof and keep what was found. Nothing else is written."""
    job = Verification.objects.get(pk=pk)

    def work(tick: long_work.Tick) -> str:
        verdict = prove_all(tick)
        job.counts, job.proved, job.details = verdict.counts, verdict.proved, verdict.breaks
        job.save(update_fields=["counts", "proved"])
        return "The books hold." if verdict.ok else "The books do not hold."

    long_work.run(job, work)
    return job


def verify_books(*, by: Person) -> Verification:
    """Begin a proof and make it, or leave it running beside the page when the books are large."""
    job = begin_verification(by=by)
    if Entry.objects.count() < LARGE:
        return run_verification(job.pk)
    pk = job.pk
    long_work.run_beside(lambda: run_verification(pk), job.progress_name)
    return job
