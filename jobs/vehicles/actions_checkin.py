"""A vehicle comes in: photos and notes kept as they are taken, and the check-in finished with the owner's signature."""

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.as_read import refuse_unread
from fund.attachments.actions import Upload, store
from fund.attachments.rules import SIZE_LIMIT
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.rulebook.queries import rule
from fund.trail.actions import record
from jobs.repairs.actions import set_failure_point
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.vehicles.models_checkin import CheckIn, CheckInDraft, VehiclePhoto
from jobs.vehicles.outline import ZONES
from jobs.vehicles.queries_checkin import draft_mark, draft_of
from jobs.vehicles.rules_checkin import CheckInFacts, check_choices, contradictions, lacking

NO_LIGHTS = "none stays on"
CHANGED = (
    "This check-in was written on elsewhere since you opened the page. What stands there otherwise is below. Bring what you "
    "typed into line with it, then keep or finish it: what you send takes its place."
)


@transaction.atomic
def keep_check_in(
    *, by: Person, repair: RepairOrder, typed: dict[str, Any], read: str | None = None
) -> CheckInDraft:
    """Keep what was typed so far, however incomplete, so that a lost connection loses nothing.

    ``read`` is the mark of the draft that stood on the page; one that was kept by somebody else meanwhile is not
    written over unread. None: it was typed on no page.
    """
    _open_to_check_in(by, repair)
    kept = draft_of(repair)
    if kept != typed:  # the same words sent twice take nobody's place
        refuse_unread(read, draft_mark(kept), CHANGED)
    draft, _ = CheckInDraft.objects.update_or_create(
        repair=repair, defaults={"typed": typed, "by": by, "at": clock.now()}
    )
    return draft


@transaction.atomic
def add_photo(
    *, by: Person, repair: RepairOrder, upload: Upload, words: str = "", on: date | None = None
) -> VehiclePhoto:
    """Keep a photo of the vehicle, before or during the work; at check-in as long as that is not finished.

    The very same file sent twice is kept once. Refuses an ended repair order and what is no picture.
    """
    require(by, "repair.write")
    hold(repair)
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    data = upload.read(SIZE_LIMIT + 1)
    digest = hashlib.sha256(data).hexdigest()
    same = repair.photos.filter(attachment__upload_sha256=digest, gone_on=None).first()
    if same is not None:
        return same
    again = ContentFile(data, name=upload.name or "photo")
    kept = store(by=by, upload=again, subject=repair.number, power="repair.see")
    if not kept.width:
        raise BadInput(f"“{upload.name}” is no photo. Take a picture of the vehicle.")
    at_check_in = not CheckIn.objects.filter(repair=repair).exists()
    return VehiclePhoto.objects.create(
        repair=repair,
        attachment=kept,
        at_check_in=at_check_in,
        words=words.strip(),
        on=on or clock.today(),
        by=by,
    )


@transaction.atomic
def finish_check_in(
    *,
    by: Person,
    repair: RepairOrder,
    facts: CheckInFacts,
    photos: Sequence[Upload] = (),
    on: date | None = None,
) -> CheckIn:
    """Finish a check-in for good, with the owner's signature; ``photos`` are kept on top of those there already.

    Refuses without mileage, photos (the rule ``check_in_photos`` says how many), a note on the dash lights and the
    signature, naming all that lacks; and a mileage below what the vehicle is known to have had.
    """
    _open_to_check_in(by, repair)
    on = on or clock.today()
    for upload in photos:
        add_photo(by=by, repair=repair, upload=upload, on=on)
    count = repair.photos.filter(gone_on=None).count()
    _check(repair, facts, count, on)
    assert facts.mileage is not None
    check_in = CheckIn.objects.create(
        repair=repair, on=on, at=clock.now(), by=by, mileage=facts.mileage, fuel=facts.fuel,
        lights=facts.lights.strip() or NO_LIGHTS, codes_state=facts.codes_state, codes=facts.codes.strip(),
        freeze_frame=facts.freeze_frame.strip(), zones=list(facts.zones), damage=facts.damage.strip(),
        earlier_work=facts.earlier_work.strip(), keys=facts.keys, valuables_out=facts.valuables_out,
        vin_compared=facts.vin_compared, unsafe=list(facts.unsafe), unsafe_words=facts.unsafe_words.strip(),
        told={key: words.strip() for key, words in facts.told.items() if words.strip()},
        signed_by=facts.signed_by.strip(), drawn=facts.drawn or None, photos=count,
    )  # fmt: skip
    CheckInDraft.objects.filter(repair=repair).delete()
    _write_on_repair(by, repair, facts)
    text = f"{repair.number} checked in at {facts.mileage:,} miles, {count} photos, signed by the owner."
    record(by=by, action="check_in.finish", subject=repair.number, text=text)
    return check_in


def _open_to_check_in(by: Person, repair: RepairOrder) -> None:
    require(by, "repair.write")
    hold(repair)
    if CheckIn.objects.filter(repair=repair).exists():
        raise AlreadyDone(f"{repair.number} is checked in and signed. Note what you see now as a finding.")
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")


def _check(repair: RepairOrder, facts: CheckInFacts, photos: int, on: date) -> None:
    wrong = check_choices(facts, ZONES) + contradictions(facts)
    lacks = wrong or lacking(facts, photos, rule("check_in_photos", on))
    if lacks:
        words = "This cannot be right" if wrong else "The check-in is not whole yet"
        raise BadInput(f"{words}: {lacks[0]}" if len(lacks) == 1 else f"{words}.", lacks[1:] and lacks)
    known = repair.vehicle.mileage
    if known is not None and facts.mileage is not None and facts.mileage < known:
        raise BadInput(
            f"The vehicle had {known:,} miles before; {facts.mileage:,} cannot be right. Read the odometer again, or "
            "correct the vehicle's page if the older figure is wrong."
        )


def _write_on_repair(by: Person, repair: RepairOrder, facts: CheckInFacts) -> None:
    """The repair order and the vehicle learn the mileage; the road test the owner's own figures."""
    repair.mileage_in = repair.vehicle.mileage = facts.mileage
    repair.vehicle.save(update_fields=["mileage"])
    repair.intermittent = repair.intermittent or facts.intermittent
    repair.save(update_fields=["mileage_in", "intermittent"])
    told = (facts.minutes, facts.miles)
    if told not in ((None, None), (repair.owner_minutes_to_failure, repair.owner_miles_to_failure)):
        set_failure_point(by=by, repair=repair, minutes=facts.minutes, miles=facts.miles)
