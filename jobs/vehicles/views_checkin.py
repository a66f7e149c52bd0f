from collections.abc import Sequence
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund.access.guards import may, power
from fund.access.models import Person
from fund.pages import attempt, form_page, person_of, posted
from fund.refusal import BadInput
from fund.rulebook.queries import rule
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404
from jobs.signing.rules import svg_path
from jobs.vehicles.actions_checkin import add_photo, finish_check_in, keep_check_in
from jobs.vehicles.actions_photos import take_out_photo
from jobs.vehicles.forms_checkin import CheckInForm, PhotoForm
from jobs.vehicles.models_checkin import CheckIn, VehiclePhoto
from jobs.vehicles.outline import BOX, zone_words, zones
from jobs.vehicles.queries_checkin import check_in_of, draft_mark, draft_of, photos_of
from jobs.vehicles.rules_checkin import QUESTIONS, VIEWS, unsafe_sentences


@power("repair.see")
def check_in(request: HttpRequest, number: str) -> HttpResponseBase:
    """The signed check-in, or the form for whoever may write one."""
    repair = repair_or_404(number)
    done = check_in_of(repair)
    if done is not None and request.method == "GET":
        sees = may(request.user, "household.papers")
        return render(request, "jobs/vehicles/checked_in.html", _signed(repair, done, sees))
    if not may(request.user, "repair.write"):
        return render(request, "jobs/vehicles/not_checked_in.html", {"repair": repair})
    return _form(request, repair)


@power("repair.write")
def _form(request: HttpRequest, repair: RepairOrder) -> HttpResponse:
    form = CheckInForm(initial=_start(repair), **posted(request))
    if request.method == "POST" and (address := _taken(request, repair, form)):
        return redirect(address)
    chosen = form["zones"].value() or []
    context = {
        "repair": repair, "form": form, "zones": zones(chosen), "box": BOX, "views": VIEWS,
        "photos": photos_of(repair), "least": rule("check_in_photos"), "read": _mark_to_carry(request, repair, form),
    }  # fmt: skip
    return render(request, "jobs/vehicles/check_in.html", context, status=422 if form.errors else 200)


def _taken(request: HttpRequest, repair: RepairOrder, form: CheckInForm) -> str:
    """Photos and words are kept first, whatever lacks; then the check-in is finished if that was asked for.

    Returns where to go on, or nothing where the form has to be seen again.
    """
    by, here = person_of(request), reverse("checkin:check-in", args=[repair.number])
    _keep_photos(by, repair, form, request.FILES.getlist("photos"))
    typed, read = form.typed(), request.POST.get("read")
    if attempt(request, form, lambda: keep_check_in(by=by, repair=repair, typed=typed, read=read)) is None:
        return ""
    picked = request.POST.get("take_out", "")
    if picked.isdecimal() and not form.has_error("photos"):
        return reverse("checkin:take-out", args=[repair.number, int(picked)])
    if not form.is_valid():
        return ""
    if request.POST.get("act") != "finish":
        messages.success(request, "Kept. It is not finished yet; the owner signs when all is there.")
        return here
    if attempt(request, form, lambda: finish_check_in(by=by, repair=repair, facts=form.facts())) is None:
        return ""
    messages.success(request, f"{repair.number} is checked in.")
    return here


def _mark_to_carry(request: HttpRequest, repair: RepairOrder, form: CheckInForm) -> str:
    """The mark of the draft as it is kept now; its reader is told first what it says otherwise than they typed.

    Not where only the photos are shown anew: nobody reads there what was refused.
    """
    kept = draft_of(repair)
    now, read = draft_mark(kept), request.POST.get("read")
    if read is None or not form.non_field_errors():
        return now
    if "HX-Request" in request.headers:
        return read
    if read != now and (otherwise := form.told(kept)):
        form.refusal_details = otherwise
    return now


def _keep_photos(by: Person, repair: RepairOrder, form: CheckInForm, uploads: Sequence[UploadedFile]) -> None:
    """Each by itself: one that is no photo takes none of the others with it."""
    for upload in uploads:
        try:
            add_photo(by=by, repair=repair, upload=upload)
        except BadInput as refusal:
            form.add_error("photos", refusal.sentence)


def _start(repair: RepairOrder) -> dict[str, Any]:
    """What is known already: the draft, else what was told when the repair order was opened."""
    known = {
        "mileage": repair.mileage_in,
        "intermittent": repair.intermittent,
        "minutes": repair.owner_minutes_to_failure,
        "miles": repair.owner_miles_to_failure,
    }
    return {**known, **draft_of(repair)}


def _signed(repair: RepairOrder, done: CheckIn, sees: bool) -> dict[str, Any]:
    """``sees`` says whether the signature, which names a household, is for these eyes."""
    return {
        "repair": repair,
        "check_in": done,
        "zones": zones(done.zones),
        "box": BOX,
        "marked": zone_words(done.zones),
        "unsafe": unsafe_sentences(done.unsafe, done.unsafe_words),
        "signature": svg_path(done.drawn) if sees and done.drawn else "",
        "signed_by": done.signed_by if sees else "",
        "told": [(QUESTIONS[key], words) for key, words in done.told.items()],
        "photos": photos_of(repair),
    }


@power("repair.write")
def photo(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    form = PhotoForm(**posted(request))
    return form_page(
        request,
        form,
        lambda data: add_photo(
            by=person_of(request), repair=repair, upload=data["photo"], words=data["words"]
        ),
        template="jobs/repairs/form.html",
        then=lambda row: reverse("checkin:check-in", args=[number]) + "#photos",
        done=lambda row: "Kept.",
        context={"heading": f"A photo of {number}", "submit": "Keep the photo", "repair": repair},
    )


@power("repair.write")
def take_out(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once before a photo is gone for good; a signed check-in keeps all of its photos."""
    rows = VehiclePhoto.objects.select_related("repair", "attachment")
    found = get_object_or_404(rows, pk=pk, repair__number=number)
    if request.method == "POST":
        act = partial(take_out_photo, by=person_of(request), photo=found)
        if attempt(request, None, act) is not None:
            messages.success(request, "The photo is taken out.")
            return redirect(reverse("checkin:check-in", args=[number]) + "#photos")
        found.refresh_from_db()
    context = {"repair": found.repair, "photo": found, "signed": check_in_of(found.repair)}
    return render(
        request, "jobs/vehicles/take_out.html", context, status=422 if request.method == "POST" else 200
    )
