"""Choosing a typical job for a repair, and keeping the crew's list of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils.text import slugify

from fund.access.guards import require
from fund.access.models import Person
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.estimates.models_types import JobType, JobTypeLine
from jobs.estimates.rules import Kind
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder


@dataclass(frozen=True)
class UsualLine:
    """A line such a job usually has; prices for the whole line in minor units, quantity in thousandths."""

    kind: Kind
    text: str
    quantity: int = 1000
    unit: str = ""
    condition: str = ""
    low: Money | None = None
    high: Money | None = None


@dataclass(frozen=True)
class Reminder:
    """What to do how many days after the hand-back."""

    days: int
    text: str


@transaction.atomic
def choose_job_type(*, by: Person, repair: RepairOrder, job_type: JobType | None) -> RepairOrder:
    """Say which typical job this repair is; None takes the choice back.

    It brings cautions, usual lines and what to verify. It promises nothing and changes no price. A kind of job in
    words that nobody has written yet becomes the name of the typical one. Refuses an ended repair order and a
    typical job that is no longer used.
    """
    require(by, "repair.write")
    hold(repair)
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    if job_type is not None and not job_type.active and repair.typical_job_id != job_type.pk:
        raise BadInput(f"“{job_type}” is no longer on the crew's list. Choose another one.")
    repair.typical_job = job_type
    if job_type is not None and not repair.job_type:
        repair.job_type = job_type.name
    repair.save(update_fields=["typical_job", "job_type"])
    name = job_type.name if job_type else "none"
    record(
        by=by, action="repair.job_type", subject=repair.number, text=f"{repair.number}: typical job {name}."
    )
    return repair


@transaction.atomic
def save_job_type(
    *,
    by: Person,
    job_type: JobType | None = None,
    name: str,
    book_from: int | None = None,
    book_to: int | None = None,
    complaint: str = "",
    cause: str = "",
    lines: Sequence[UsualLine] = (),
    verify: Sequence[str] = (),
    cautions: Sequence[str] = (),
    care: Sequence[str] = (),
    reminders: Sequence[Reminder] = (),
    source: str = "the crew's own practice",
    active: bool = True,
) -> JobType:
    """Add a typical job or write one anew, with all its lines. Book hours in tenths.

    Refuses a missing or doubled name, hours or prices the wrong way round, a job in use without anything to verify,
    and an empty source. What was signed with the older words keeps its own copy.
    """
    require(by, "repair.write")
    job_type = job_type or JobType()
    name = name.strip()
    if not name:
        raise BadInput("Give the job a name, such as “Front brake pads and rotors”.")
    if JobType.objects.filter(name__iexact=name).exclude(pk=job_type.pk).exists():
        raise AlreadyDone(f"“{name}” is already on the list. Change that one, or use another name.")
    _check(book_from, book_to, lines, verify, reminders, source, active)
    job_type.code = job_type.code or _code_for(name)
    job_type.name, job_type.active, job_type.source = name, active, source.strip()
    job_type.book_from, job_type.book_to = book_from, book_to
    job_type.complaint, job_type.cause = complaint.strip(), cause.strip()
    job_type.verify, job_type.cautions, job_type.care = _kept(verify), _kept(cautions), _kept(care)
    job_type.reminders = [{"days": row.days, "text": row.text.strip()} for row in reminders]
    job_type.save()
    job_type.lines.all().delete()
    JobTypeLine.objects.bulk_create(
        JobTypeLine(job_type=job_type, ordinal=place, **{**vars(line), "kind": line.kind.value})
        for place, line in enumerate(lines, start=1)
    )
    data = {"verify": job_type.verify, "cautions": job_type.cautions}
    record(by=by, action="job_type.save", subject=job_type.code, text=f"Typical job: {name}.", data=data)
    return job_type


def _check(
    book_from: int | None,
    book_to: int | None,
    lines: Sequence[UsualLine],
    verify: Sequence[str],
    reminders: Sequence[Reminder],
    source: str,
    active: bool,
) -> None:
    if book_from is not None and book_to is not None and book_from > book_to:
        raise BadInput("The book hours go from more to fewer. Write the smaller figure first.")
    for place, line in enumerate(lines, start=1):
        if not line.text.strip():
            raise BadInput(f"Line {place} has no words. Say what it is, or empty the row.")
        if line.quantity <= 0:
            raise BadInput(f"Line {place} “{line.text}” needs a quantity above zero.")
        if line.low is not None and line.high is not None and line.low > line.high:
            raise BadInput(
                f"Line {place} “{line.text}” goes from more to less. Write the smaller price first."
            )
    if active and not _kept(verify):
        raise BadInput(
            "Write what a second person verifies after this job; without it nothing could be handed back."
        )
    if any(row.days <= 0 or not row.text.strip() for row in reminders):
        raise BadInput("A reminder needs a number of days above zero and what to do then.")
    if not source.strip():
        raise BadInput("Say where this comes from: common practice, the crew's own, or a manual.")


def _kept(sentences: Sequence[str]) -> list[str]:
    return [sentence.strip() for sentence in sentences if sentence.strip()]


def _code_for(name: str) -> str:
    """A short name for addresses; numbered when it is taken."""
    stem = slugify(name)[:36] or "job"
    code, number = stem, 1
    while JobType.objects.filter(code=code).exists():
        number += 1
        code = f"{stem}-{number}"
    return code
