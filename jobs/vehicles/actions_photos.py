"""Photos of vehicles go: taken out again before the owner signs, or with what their household told.

A plate or a street on one names a household as well as a name does, so the file itself is destroyed.
"""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.attachments.actions import destroy
from fund.refusal import AlreadyDone, NotReady
from fund.trail.actions import record
from jobs.households.models import Household
from jobs.repairs.lock import hold
from jobs.vehicles.models_checkin import CheckIn, VehiclePhoto


@transaction.atomic
def take_out_photo(*, by: Person, photo: VehiclePhoto) -> VehiclePhoto:
    """Take a photo out of a check-in that is not finished: blurry, or of another vehicle. Its file is destroyed.

    Refuses once the owner has signed, an ended repair order, and a photo that is gone. How many photos a check-in
    needs is counted anew when it is finished.
    """
    require(by, "repair.write")
    repair = hold(photo.repair)
    if CheckIn.objects.filter(repair=repair).exists():
        raise AlreadyDone(
            f"{repair.number} is checked in and signed. Its photos stay as the owner signed them."
        )
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    photo = VehiclePhoto.objects.select_related("attachment").get(pk=photo.pk)
    if photo.gone_on:
        raise AlreadyDone("This photo was taken out already.")
    photo.gone_on, photo.words = clock.today(), ""
    photo.save(update_fields=["gone_on", "words"])
    kept = photo.attachment
    text = f"{repair.number}: photo {kept.code} taken out before the check-in was signed."
    record(by=by, action="photo.take_out", subject=repair.number, text=text, data={"sha256": kept.sha256})
    destroy(kept)
    return photo


def forget_photos(households: Sequence[Household], on: date) -> int:
    """Part of an action, inside its transaction: destroy the files, keep a row that says when. Returns how many."""
    rows = VehiclePhoto.objects.filter(repair__household__in=households, gone_on=None)
    photos = list(rows.select_related("attachment"))
    rows.update(gone_on=on, words="")
    for photo in photos:
        destroy(photo.attachment)
    return len(photos)
