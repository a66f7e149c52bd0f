from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.estimates.actions_owner import owner_agrees
from jobs.estimates.actions_types import choose_job_type, save_job_type
from jobs.estimates.forms_types import ChooseForm, JobTypeForm, OwnerYesForm, UsualRows, start_of
from jobs.estimates.models_types import JobType
from jobs.estimates.queries_owner import standing_lines
from jobs.estimates.queries_past import past_of
from jobs.estimates.queries_types import all_job_types
from jobs.estimates.rules import add_up
from jobs.estimates.tables_types import JobTypeFilter, JobTypeTable
from jobs.repairs.pages import repair_or_404


@power("repair.see")
def all_types(request: HttpRequest) -> HttpResponseBase:
    page = "jobs/estimates/types.html"
    return book_list(request, JobTypeTable, all_job_types(), JobTypeFilter, page, filename="typical-jobs")


@power("repair.see")
def one_type(request: HttpRequest, code: str) -> HttpResponse:
    job = get_object_or_404(JobType, code=code)
    return render(request, "jobs/estimates/type.html", {"job": job, "past": past_of(job)})


@power("repair.write")
def add_type(request: HttpRequest) -> HttpResponse:
    return _write(request, None)


@power("repair.write")
def change_type(request: HttpRequest, code: str) -> HttpResponse:
    return _write(request, get_object_or_404(JobType, code=code))


def _write(request: HttpRequest, job: JobType | None) -> HttpResponse:
    form = JobTypeForm(initial=start_of(job), **posted(request))
    rows = UsualRows(request.POST if request.method == "POST" else None, list(job.lines.all()) if job else [])
    if request.method == "POST" and form.is_valid() & rows.is_valid():
        saved = attempt(
            request,
            form,
            lambda: save_job_type(by=person_of(request), job_type=job, lines=rows.lines(), **form.facts()),
        )
        if saved is not None:
            messages.success(request, f"{saved.name}: saved.")
            return redirect("jobtypes:one", saved.code)
    wrong = rows.wrong
    context = {"form": form, "rows": rows, "wrong": wrong, "job": job}
    return render(
        request, "jobs/estimates/type_form.html", context, status=422 if form.errors or wrong else 200
    )


@power("repair.write")
def choose(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    return form_page(
        request,
        ChooseForm(initial={"typical_job": repair.typical_job}, **posted(request)),
        lambda data: choose_job_type(by=person_of(request), repair=repair, job_type=data["typical_job"]),
        template="jobs/repairs/form.html",
        then=lambda saved: reverse("repairs:repair", args=[number]),
        done=lambda saved: f"Saved on {number}.",
        context={"heading": f"Typical job of {number}", "submit": "Save the typical job", "repair": repair},
    )


@power("repair.write")
def owner_yes(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    lines = list(standing_lines(repair))
    return form_page(
        request,
        OwnerYesForm(**posted(request)),
        lambda data: owner_agrees(by=person_of(request), repair=repair, **data),
        template="jobs/estimates/owner_yes.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: "The owner's yes is written down.",
        context={"repair": repair, "lines": lines, "sums": add_up(lines)},
    )
