"""Copies of papers: the exception, kept sealed below MEDIA_ROOT and deleted on their day."""

import os
import tempfile
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.attachments.actions import Upload
from fund.attachments.rules import SIZE_LIMIT, clean, shown_name
from fund.refusal import BadInput, NotReady
from fund.rulebook.queries import rule
from fund.sealed import is_current, open_bytes, reseal, seal_bytes
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.models import Sighting
from jobs.households.models_papers import PaperCopy


@transaction.atomic
def keep_copy(*, by: Person, sighting: Sighting, upload: Upload, delete_on: date | None = None) -> PaperCopy:
    """Keep a photo or PDF of a sighted paper until a day (by the rule ``copy_days``, or sooner).

    It is verified and stripped like every upload, then sealed; neither its name nor its content lies readable on the
    disk. Refuses what :func:`fund.attachments.rules.clean` refuses, a day that is past or later than the rule, a tie.
    """
    require(by, "household.screen")
    refuse_tie(by, sighting.household)
    today = clock.today()
    last = today + timedelta(days=rule("copy_days", today))
    day = delete_on or last
    if not today <= day <= last:
        raise BadInput(f"A copy is deleted between {today} and {last}, not on {day}.")
    kept = clean(upload.read(SIZE_LIMIT + 1), upload.name or "file")
    copy = PaperCopy.objects.create(
        sighting=sighting,
        place=f"papers/{uuid4().hex}.sealed",
        kind=kept.kind,
        name=shown_name(upload.name or "file"),
        size=len(kept.data),
        stored_on=today,
        stored_by=by,
        delete_on=day,
    )
    _write(place_of(copy), seal_bytes(kept.data))
    household = sighting.household
    text = (
        f"A copy of a {sighting.get_kind_display().lower()} of {household.code} is kept, sealed, until {day}."
    )
    record(by=by, action="paper.keep", subject=household.code, text=text, data={"copy": copy.pk})
    return copy


def read_copy(*, by: Person, copy: PaperCopy) -> bytes:
    """The paper itself. Every reading leaves a line in the trail. Refuses a tie, and a copy that is deleted."""
    require(by, "household.papers")
    household = copy.sighting.household
    refuse_tie(by, household)
    if copy.deleted_on is not None or not place_of(copy).is_file():
        raise NotReady("This copy was deleted on its day. Ask the household for the paper.")
    content = open_bytes(place_of(copy).read_bytes())
    text = f"The copy of a {copy.sighting.get_kind_display().lower()} of {household.code} was opened."
    record(by=by, action="paper.open", subject=household.code, text=text, data={"copy": copy.pk})
    return content


def delete_file(copy: PaperCopy, on: date) -> None:
    """Take the file away and say so on its row. Called by ``actions_keep`` inside its transaction."""
    place_of(copy).unlink(missing_ok=True)
    copy.deleted_on, copy.name = on, ""
    copy.save(update_fields=["deleted_on", "name"])


def reseal_file(copy: PaperCopy) -> int:
    """Seal one file under the first key; 1 if that was needed."""
    target = place_of(copy)
    if not target.is_file():
        return 0
    token = target.read_bytes()
    if is_current(token):
        return 0
    _write(target, reseal(token))
    return 1


def place_of(copy: PaperCopy) -> Path:
    return Path(settings.MEDIA_ROOT) / copy.place


def _write(target: Path, token: bytes) -> None:
    """Whole or not at all."""
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=target.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(token)
    Path(temporary).chmod(0o600)
    Path(temporary).replace(target)
