from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fund.access.guards import power
from fund.commitments.queries import allowance
from fund.forms import BookForm
from fund.pages import attempt, person_of, posted
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.estimates.actions_types import choose_job_type
from jobs.estimates.forms import EstimateHead, LineRows, SupplementHead
from jobs.estimates.models_types import JobType
from jobs.estimates.queries import lines_of
from jobs.estimates.queries_past import past_of
from jobs.estimates.queries_read import mark_to_carry
from jobs.estimates.queries_types import job_types
from jobs.estimates.rules import LineDraft
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404


@power("repair.write")
def edit(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    head = EstimateHead(initial={"typical_job": repair.typical_job}, **posted(request))
    job = chosen_job(head)
    copied = list(job.lines.all()) if job and request.POST.get("act") == "copy" else []
    rows = LineRows(request.POST if request.method == "POST" else None, lines_of(repair), copied)
    return _editor(
        request,
        repair,
        rows,
        head,
        lambda data: _save(request, repair, data["typical_job"], rows.drafts()),
        {
            "heading": f"Estimate of {number}",
            "submit": "Save the estimate",
            "job": job,
            "taken": None if repair.promised else allowance(number).promised,
            **_earlier(job, repair),
        },
    )


def _earlier(job: JobType | None, repair: RepairOrder) -> dict[str, Any]:
    """How earlier ones of the kind came out, and the hours to plan for this one by them."""
    past = past_of(job) if job else None
    return {"past": past, "plan": past.planned(repair.book_hours) if past else None}


def chosen_job(head: EstimateHead) -> JobType | None:
    """The typical job as chosen on the page, right or wrong the rest of it."""
    wanted = head["typical_job"].value()
    if isinstance(wanted, JobType) or not wanted:
        return wanted or None
    return job_types().filter(pk=wanted).first() if str(wanted).isdecimal() else None


@transaction.atomic
def _save(
    request: HttpRequest, repair: RepairOrder, job: JobType | None, lines: list[LineDraft]
) -> RepairOrder:
    """One form, two actions: both or none. The estimate first: it refuses an old page."""
    by = person_of(request)
    set_estimate(by=by, repair=repair, lines=lines, read=request.POST.get("read"))
    if job != repair.typical_job:
        choose_job_type(by=by, repair=repair, job_type=job)
    return repair


@power("repair.write")
def supplement(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    rows = LineRows(request.POST if request.method == "POST" else None)
    standing = allowance(number)  # with earlier supplements, less what was let go
    return _editor(
        request,
        repair,
        rows,
        SupplementHead(**posted(request)),
        lambda data: request_supplement(
            by=person_of(request), repair=repair, lines=rows.drafts(), reason=data["reason"]
        ),
        {"heading": f"Supplement to {number}", "submit": "Ask for the supplement", "standing": standing},
    )


def _editor(
    request: HttpRequest,
    repair: RepairOrder,
    rows: LineRows,
    head: BookForm,
    save: Callable[[dict[str, Any]], Any],
    words: dict[str, Any],
) -> HttpResponse:
    """Rows to write in. Only the button that saves writes anything; the others give the rows back as typed."""
    saving = request.method == "POST" and request.POST.get("act") == "save"
    valid = saving and head.is_valid() and rows.is_valid()
    if valid and attempt(request, head, lambda: save(head.cleaned_data)) is not None:
        messages.success(request, f"Saved on {repair.number}.")
        return redirect("repairs:repair", repair.number)
    if not saving:
        # Adding a row is no reason to complain about the rest, and what was typed there stays.
        head = type(head)(initial={name: head[name].value() for name in head.fields})
    rows.look_on_shelf()
    read = mark_to_carry(repair, request.POST.get("read"), told=bool(head.non_field_errors()))
    context = {**words, "repair": repair, "rows": rows, "form": head, "read": read}
    context["wrong"] = rows.wrong if saving else []
    return render(request, "jobs/estimates/editor.html", context, status=422 if saving else 200)
