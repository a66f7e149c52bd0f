from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund.access.guards import power
from fund.access.models import Person
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.approvals.queries import asked_of
from jobs.eligibility.queries import eligible_applications
from jobs.intake.actions_order import take_out_of_turn
from jobs.intake.models import Application
from jobs.repairs import actions, actions_findings, actions_steps, queries
from jobs.repairs.forms import (
    CauseForm,
    ComplaintForm,
    CorrectionForm,
    FailurePointForm,
    FindingForm,
    MechanicForm,
    OpenForm,
    ReasonForm,
)
from jobs.repairs.models import Finding, RepairOrder
from jobs.repairs.page_door import work_sheet
from jobs.repairs.page_facts import repair_facts
from jobs.repairs.pages import repair_or_404
from jobs.repairs.queries_turn import comes_first
from jobs.repairs.tables import RepairFilter, RepairTable
from jobs.vehicles.actions import add_vehicle

FORM = "jobs/repairs/form.html"
STORED_AS = {"minutes": "owner_minutes_to_failure", "miles": "owner_miles_to_failure"}


@power("repair.see")
def all_repairs(request: HttpRequest) -> HttpResponseBase:
    context = {"asked_me": asked_of(person_of(request))[:20]}
    return book_list(
        request,
        RepairTable,
        queries.repairs(),
        RepairFilter,
        "jobs/repairs/all.html",
        context,
        filename="repairs",
    )


@power("repair.see")
def repair(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    return render(request, "jobs/repairs/repair.html", repair_facts(found, person_of(request)))


@power("repair.see")
def sheet(request: HttpRequest, number: str) -> HttpResponse:
    return render(request, "jobs/repairs/work_sheet.html", work_sheet(repair_or_404(number)))


@power("repair.write")
def choose(request: HttpRequest) -> HttpResponse:
    return render(request, "jobs/repairs/choose.html", {"applications": eligible_applications()})


@power("repair.write")
def open_new(request: HttpRequest, application: str) -> HttpResponse:
    asking = get_object_or_404(Application.objects.select_related("household"), code=application)
    first = comes_first(asking)
    start = {
        "vehicle": asking.household.vehicles.last(),
        "complaint": asking.complaint,
        "year": asking.vehicle_year,
        "vehicle_class": asking.vehicle_class,
        "make_model": asking.vehicle_words,
    }
    name = first.household.alias if first else ""
    form = OpenForm(initial=start, household=asking.household, first=name, **posted(request))
    return form_page(
        request,
        form,
        lambda data: _check_in(person_of(request), asking, data),
        template=FORM,
        then=lambda opened: reverse("checkin:check-in", args=[opened.number]),
        done=lambda opened: f"{opened.number} opened for {opened.alias}. Now walk round it with the owner.",
        context={
            "heading": f"Check in the vehicle of {asking.household.alias}",
            "submit": "Open the repair order",
        },
    )


@transaction.atomic
def _check_in(by: Person, application: Application, data: dict[str, Any]) -> RepairOrder:
    """One form, up to three actions: a new vehicle and a reason are written down only together with the repair order."""
    if reason := data.pop("out_of_turn", ""):
        take_out_of_turn(by=by, application=application, ready=list(eligible_applications()), reason=reason)
    described = {name: data.pop(name) for name in OpenForm.NEW}
    vehicle = data.pop("vehicle", None)
    if vehicle is None:
        vehicle = add_vehicle(by=by, household=application.household, mileage=data["mileage_in"], **described)
    return actions.open_repair(by=by, application=application, vehicle=vehicle, **data)


def _part(
    request: HttpRequest, number: str, form_class: Any, action: Any, heading: str, submit: str
) -> HttpResponse:
    """The page of one part of a repair order: the form starts with what is written already."""
    found = repair_or_404(number)
    form = form_class(**posted(request))
    form.initial = {name: getattr(found, STORED_AS.get(name, name)) for name in form.fields}
    return form_page(
        request,
        form,
        lambda data: action(by=person_of(request), repair=found, **data),
        template=FORM,
        then=lambda saved: reverse("repairs:repair", args=[saved.number]),
        done=lambda saved: f"Saved on {saved.number}.",
        context={"heading": f"{heading} of {found.number}", "submit": submit, "repair": found},
    )


@power("repair.write")
def complaint(request: HttpRequest, number: str) -> HttpResponse:
    return _part(request, number, ComplaintForm, actions.set_complaint, "Complaint", "Save the complaint")


@power("repair.write")
def failure_point(request: HttpRequest, number: str) -> HttpResponse:
    action = actions.set_failure_point
    return _part(
        request, number, FailurePointForm, action, "When the fault shows", "Save the owner's figures"
    )


@power("repair.write")
def cause(request: HttpRequest, number: str) -> HttpResponse:
    return _part(request, number, CauseForm, actions.set_cause, "Cause", "Save the cause")


@power("repair.write")
def correction(request: HttpRequest, number: str) -> HttpResponse:
    return _part(request, number, CorrectionForm, actions.set_correction, "Correction", "Save the correction")


@power("repair.write")
def mechanic(request: HttpRequest, number: str) -> HttpResponse:
    return _part(request, number, MechanicForm, actions.assign_mechanic, "Work", "Save who does the work")


@power("repair.write")
@require_POST
def start(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    if attempt(request, None, lambda: actions_steps.start_work(by=person_of(request), repair=found)):
        messages.success(request, f"{number} is in the bay.")
    return redirect("repairs:repair", number)


@power("repair.write", "repair.approve")
def cancel(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda data: actions_steps.cancel(by=person_of(request), repair=found, reason=data["reason"]),
        template="jobs/repairs/cancel.html",
        then=lambda stopped: reverse("repairs:repair", args=[stopped.number]),
        done=lambda stopped: f"{stopped.number} is {stopped.state}.",
        context={"repair": found, "consequences": queries.consequences_of_stopping(found)},
    )


@power("repair.write")
def finding(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    return form_page(
        request,
        FindingForm(**posted(request)),
        lambda data: actions_findings.add_finding(by=person_of(request), repair=found, text=data["text"]),
        template=FORM,
        then=lambda row: reverse("repairs:repair", args=[number]) + "#findings",
        done=lambda row: "Noted. Someone decides whether it is done now, later or not at all.",
        context={"heading": f"Also found on {number}", "submit": "Note it", "repair": found},
    )


@power("repair.write", "repair.approve")
@require_POST
def decide_finding(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    row = get_object_or_404(Finding, pk=pk, repair__number=number)
    word = request.POST.get("decision", "")
    attempt(
        request,
        None,
        lambda: actions_findings.decide_finding(by=person_of(request), finding=row, decision=word),
    )
    return redirect(reverse("repairs:repair", args=[number]) + "#findings")
