"""Work too long for one request: it runs beside the page that asked for it, which tells meanwhile how far it is."""

import logging
import threading
from collections.abc import Callable
from contextvars import copy_context
from datetime import datetime, timedelta
from typing import ClassVar

from django.conf import settings
from django.db import connection, models

from fund import clock, progress
from fund.refusal import Refusal

JOB_STATES = {"running": "running", "done": "done", "refused": "refused"}
GIVEN_UP = timedelta(minutes=10)  # whoever runs longer died with its server
Tick = Callable[[int], None]
log = logging.getLogger(__name__)


class LongJob(models.Model):
    """Work on ``rows`` rows of a file. `answer` and `details` are what is told at the end."""

    told_as: ClassVar[str] = "job"

    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    rows = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=list(JOB_STATES.items()), default="running")
    answer = models.TextField(blank=True)
    details = models.JSONField(default=list)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        abstract = True

    @property
    def progress_name(self) -> str:
        return f"{self.told_as}-{self.pk}"

    @property
    def rows_done(self) -> int:
        return min(progress.told(self.progress_name), self.rows)

    @property
    def stopped(self) -> bool:
        """It runs no longer and nobody wrote down how it ended: its server went down meanwhile."""
        return self.state == "running" and self.started_at < given_up()


def given_up() -> datetime:
    """A job begun before this moment and still running runs no longer."""
    return clock.now() - GIVEN_UP


def run(job: LongJob, work: Callable[[Tick], str]) -> None:
    """Do the work of a job, which gives the sentence that tells of it, and write down how it went.

    ``work`` does all or nothing, by a transaction of its own.
    """
    done = 0

    def tick(rows: int) -> None:
        nonlocal done
        done += rows
        progress.tell(job.progress_name, done)

    try:
        job.answer = work(tick)
        job.state = "done"
    except Refusal as refusal:
        job.state, job.answer, job.details = "refused", refusal.sentence, list(refusal.details)
    except Exception:
        # The person at the page must learn that it ended; the log keeps what went wrong.
        log.exception("%s failed", job.progress_name)
        job.state, job.answer = "refused", "The program failed and nothing was written. Try again."
    job.ended_at = clock.now()
    job.save(update_fields=["state", "answer", "details", "ended_at"])
    progress.forget(job.progress_name)


def run_beside(act: Callable[[], object], name: str) -> None:
    """Do ``act`` in a thread of its own, with the clock of the request that asked for it."""

    def work() -> None:
        try:
            act()
        finally:
            connection.close()

    threading.Thread(target=copy_context().run, args=(work,), name=name).start()
