from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from fund import clock
from fund.access.guards import may, power
from fund.pages import attempt, person_of
from fund.rulebook.queries import rule
from fund.tables import book_list
from jobs.eligibility.queries_ties import supporter_tie
from jobs.eligibility.ties import has_tie
from jobs.households.models import Household
from jobs.intake.actions import open_application
from jobs.intake.forms import AskingForm
from jobs.intake.models import Application
from jobs.intake.queries import applications
from jobs.intake.queries_consents import consent_lines
from jobs.intake.queries_order import place_of, weights_on
from jobs.intake.queries_same import mergings_of, suspects
from jobs.intake.rows import (
    PEOPLE,
    AskedRows,
    incomes_of,
    incomes_rows,
    numbers_for_incomes,
    people_of,
    people_rows,
    posted_count,
)
from jobs.intake.rules import BELONGS
from jobs.intake.rules_order import in_words
from jobs.intake.tables import ApplicationFilter, ApplicationTable
from jobs.vehicles.rules import vin_warning


@power("intake.enter")
def requests_list(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        ApplicationTable,
        applications(),
        ApplicationFilter,
        "jobs/intake/list.html",
        {"order": in_words(weights_on())},
        filename="requests",
    )


@power("intake.enter")
def new(request: HttpRequest, household: str = "") -> HttpResponse:
    """Take down a request; with a household's code, a further request of that household."""
    known = get_object_or_404(Household, code=household) if household else None
    judged = request.method == "POST" and "more" not in request.POST
    people, incomes = _rows(request, judged=judged)
    context: dict[str, Any] = {"known": known, "people": people, "incomes": incomes}
    context["definition"] = BELONGS[rule("household_definition")]
    if not judged:
        start = {"submitted_on": clock.today()} | request.POST.dict()
        context["form"] = AskingForm(known=known, initial=start)
        return render(request, "jobs/intake/new.html", context)
    form = AskingForm(request.POST, known=known)
    rows_fit = known is not None or (people.is_valid() and incomes.is_valid())
    if form.is_valid() and rows_fit:
        made = attempt(request, form, lambda: _take_down(request, form, people, incomes, known))
        if made:
            messages.success(
                request, f"Request {made.code} of household {made.household.alias} is taken down."
            )
            if warning := vin_warning(form.cleaned_data["vin"]):
                messages.warning(request, f"VIN: {warning}")
            return redirect("intake:request", made.code)
    return render(request, "jobs/intake/new.html", context | {"form": form}, status=422)


def _rows(request: HttpRequest, *, judged: bool) -> tuple[AskedRows, AskedRows]:
    typed = request.POST if request.method == "POST" else None
    whose = numbers_for_incomes(posted_count(request, PEOPLE, 3))
    return people_rows(typed, judged=judged), incomes_rows(typed, whose, judged=judged)


def _take_down(
    request: HttpRequest,
    form: AskingForm,
    people: AskedRows,
    incomes: AskedRows,
    known: Household | None,
) -> Application:
    return open_application(
        by=person_of(request),
        asking=form.asking(known),
        members=[] if known else [form.applicant(), *people_of(people)],
        incomes=[] if known else incomes_of(incomes),
        submitted_on=form.cleaned_data["submitted_on"],
        household=known,
    )


@power("intake.enter")
def one_request(request: HttpRequest, code: str) -> HttpResponse:
    found = Application.objects.select_related("household", "taken_by", "out_of_turn__by")
    application = get_object_or_404(found, code=code)
    tie = has_tie(person_of(request), application.household)
    papers = may(person_of(request), "household.papers") and not tie
    context: dict[str, Any] = {
        "application": application,
        "papers": papers,
        "tie": tie,
        "place": place_of(application),
    }
    if papers:
        context |= {
            "decisions": application.decisions.select_related("decided_by").order_by("-pk"),
            "answers": application.relation_answers.select_related("person"),
            "suspects": suspects(application.household),
            "mergings": mergings_of(application.household),
            "supporter": supporter_tie(application.household),
            "agreed": consent_lines(application),
        }
    return render(request, "jobs/intake/request.html", context)
