from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from fund import clock
from fund.access.guards import power
from fund.pages import attempt, person_of, posted
from fund.tables import book_list
from jobs.eligibility.actions import answer_then_decide
from jobs.eligibility.forms import DecideForm
from jobs.eligibility.models import EligibilityDecision, GuidelineTable
from jobs.eligibility.queries import assess_household
from jobs.eligibility.queries_read import mark_of
from jobs.eligibility.tables import GuidelineListTable
from jobs.eligibility.ties import refuse_reading
from jobs.eligibility.worked_out import rules_worked_out, worked_out
from jobs.households.models import Household
from jobs.intake.models import Application
from jobs.intake.queries_same import suspects, unread_mergings


@power("household.screen")
def decide_request(request: HttpRequest, code: str) -> HttpResponse:
    application = get_object_or_404(Application.objects.select_related("household"), code=code)
    refuse_reading(person_of(request), application.household)
    form = DecideForm(initial={"on": clock.today()}, **posted(request))
    if form.is_bound and form.is_valid():
        given = {**form.answers(), "read": request.POST.get("read", "")}
        made = attempt(
            request, form, lambda: answer_then_decide(by=person_of(request), application=application, **given)
        )
        if made:
            messages.success(request, f"{code} is {made.get_verdict_display()}. Its figures are frozen.")
            return redirect("intake:request", code)
    on = form.cleaned_data.get("on") if form.is_bound else None
    context = {
        "form": form,
        "application": application,
        "read": mark_of(application),
        "household": application.household,
        "sightings": application.household.sightings.select_related("sighted_by", "vehicle"),
        **_known(application.household),
        "exceptions": application.exceptions.select_related("asked_by", "answered_by"),
        **rules_worked_out(application, on),
        **worked_out(lambda: assess_household(application.household, on)),
    }
    return render(request, "jobs/eligibility/decide.html", context, status=422 if form.errors else 200)


def _known(household: Household) -> dict[str, Any]:
    """Records that may be of the same household, and those that were found to be and not looked through since."""
    return {"suspects": suspects(household), "unread": unread_mergings(household)}


@power("household.screen")
def worksheet(request: HttpRequest, code: str) -> HttpResponse:
    """The arithmetic of a day (``?on=2026-03-15``), as a piece of the page on which one decides."""
    household = get_object_or_404(Household, applications__code=code)
    refuse_reading(person_of(request), household)
    try:
        on = date.fromisoformat(request.GET.get("on", ""))
    except ValueError:
        on = clock.today()
    return render(
        request, "jobs/eligibility/worksheet.html", worked_out(lambda: assess_household(household, on))
    )


@power("household.papers")
def decision(request: HttpRequest, pk: int) -> HttpResponse:
    rows = EligibilityDecision.objects.select_related("application__household", "decided_by")
    found = get_object_or_404(rows, pk=pk)
    refuse_reading(person_of(request), found.application.household)
    return render(request, "jobs/eligibility/decision.html", {"decision": found})


@power("household.papers")
def tables(request: HttpRequest) -> HttpResponseBase:
    rows = GuidelineTable.objects.order_by("-in_use_from", "area")
    return book_list(
        request, GuidelineListTable, rows, template="jobs/eligibility/tables.html", filename="income-tables"
    )
