"""Statements of the bank: brought in over a preview, and their lines."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund.access.guards import power
from fund.bank.actions_job import begin_job, is_large, run_beside
from fund.bank.actions_upload import drop_upload, keep_upload, look_again, take_upload
from fund.bank.forms import UploadForm
from fund.bank.models import StatementFile, StatementJob, StatementUpload
from fund.bank.queries_pages import files, lines_with_state
from fund.bank.tables import (
    PreviewTable,
    StatementFileFilter,
    StatementFileTable,
    StatementLineFilter,
    StatementLineTable,
)
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list


@power("bank.see")
def statements(request: HttpRequest) -> HttpResponseBase:
    waiting = StatementUpload.objects.defer("data").select_related("by")
    return book_list(
        request,
        StatementFileTable,
        files(),
        StatementFileFilter,
        "fund/bank/statements.html",
        {"waiting": waiting},
        filename="bank-statements",
    )


@power("bank.reconcile")
def upload(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        UploadForm(**posted(request)),
        lambda told: keep_upload(
            by=person_of(request),
            data=told["file"].read(),
            filename=told["file"].name,
            layout=told["layout"],
            opening=told["opening"],
            closing=told["closing"],
        ),
        template="fund/bank/upload.html",
        then=lambda kept: reverse("bank:upload-preview", args=[kept.pk]),
    )


@power("bank.reconcile")
def preview(request: HttpRequest, pk: int) -> HttpResponseBase:
    kept = get_object_or_404(StatementUpload.objects.select_related("layout", "by"), pk=pk)
    seen = attempt(request, None, lambda: look_again(by=person_of(request), upload=kept))
    context = {"upload": kept, "seen": seen}
    rows = seen.rows if seen else []
    return book_list(
        request,
        PreviewTable,
        rows,
        template="fund/bank/preview.html",
        context=context,
        filename="statement-preview",
    )


@power("bank.reconcile")
@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(StatementUpload.objects.select_related("layout"), pk=pk)
    if is_large(kept):
        begun = attempt(request, None, lambda: begin_job(by=person_of(request), upload=kept))
        if begun is None:
            return redirect("bank:upload-preview", pk=pk)
        run_beside(begun)
        return redirect("bank:upload-job", pk=begun.pk)
    name = kept.name
    done = attempt(request, None, lambda: take_upload(by=person_of(request), upload=kept))
    if done is None:
        return redirect("bank:upload-preview", pk=pk)
    messages.success(request, f"{name}: {done.sentence}")
    return redirect("bank:match")


@power("bank.reconcile")
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a large file is: the page asks again by itself, by script or without."""
    found = get_object_or_404(StatementJob, pk=pk)
    part = request.headers.get("HX-Request") == "true"
    return render(request, f"fund/bank/{'job_part' if part else 'job'}.html", {"job": found})


@power("bank.reconcile")
@require_POST
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(StatementUpload.objects.defer("data"), pk=pk)
    name = attempt(request, None, lambda: drop_upload(by=person_of(request), upload=kept))
    if name:
        messages.success(request, f"{name} is dropped. Nothing was taken from it.")
    return redirect("bank:statements")


@power("bank.see")
def statement(request: HttpRequest, pk: int) -> HttpResponseBase:
    found = get_object_or_404(
        StatementFile.objects.defer("data").select_related("by", "account", "layout"), pk=pk
    )
    return book_list(
        request,
        StatementLineTable,
        lines_with_state().filter(file=found),
        template="fund/bank/statement.html",
        context={"file": found},
        filename="statement",
    )


@power("bank.see")
def statement_lines(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        StatementLineTable,
        lines_with_state(),
        StatementLineFilter,
        "fund/bank/statement_lines.html",
        filename="lines-of-the-bank",
    )
