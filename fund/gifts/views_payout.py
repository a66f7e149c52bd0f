"""A payout file from upload over its preview to the books, and payouts explained."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.gifts import queries
from fund.gifts.actions_job import LARGE, begin_job, rows_of, run_beside
from fund.gifts.actions_payout import discard_file, import_payout, keep_file
from fund.gifts.forms_payout import UploadForm
from fund.gifts.models import ImportJob, Layout, Payout, PayoutFile
from fund.gifts.queries_payout import BOOKED, NEW, REFUSED, SKIPPED, plan_import
from fund.gifts.rules_reading import READ_STEP, read_file
from fund.gifts.tables import FateTable, GiftTable, PayoutFilter, PayoutTable
from fund.ledger.queries import first_possible_day
from fund.pages import attempt, form_page, person_of, posted
from fund.refusal import Refusal
from fund.tables import book_list


@power("gift.see")
def payouts(request: HttpRequest) -> HttpResponseBase:
    waiting = PayoutFile.objects.filter(posted_at=None).defer("data").select_related("layout", "by")
    return book_list(
        request,
        PayoutTable,
        queries.payouts(),
        PayoutFilter,
        "fund/gifts/payouts.html",
        {"waiting": waiting, "platforms": queries.platforms_with_holds()},
        filename="payouts",
    )


@power("gift.import")
def upload(request: HttpRequest) -> HttpResponse:
    form = UploadForm(**posted(request))
    return form_page(
        request,
        form,
        lambda told: keep_file(
            by=person_of(request), data=told["file"].read(), filename=told["file"].name, layout=told["layout"]
        ),
        template="fund/gifts/payout_upload.html",
        then=lambda file: reverse("gifts:payout-file", args=[file.pk]),
        context={"has_layouts": Layout.objects.exists()},
    )


@power("gift.import")
def preview(request: HttpRequest, pk: int) -> HttpResponseBase:
    file = get_object_or_404(PayoutFile.objects.select_related("layout__platform", "by"), pk=pk)
    try:
        plan = plan_import(
            read_file(bytes(file.data), file.layout.spec, today=clock.today(), earliest=first_possible_day()),
            file.layout,
        )
    except Refusal as refusal:  # the layout was changed since the upload
        return render(
            request, "fund/gifts/payout_unread.html", {"file": file, "refusal": refusal}, status=422
        )
    counts = [(fate, plan.count(fate)) for fate in (NEW, BOOKED, REFUSED, SKIPPED)]
    wanted = request.GET.get("fate", "")
    rows = [row for row in plan.fates if not wanted or row.fate == wanted]
    context = {
        "file": file,
        "plan": plan,
        "counts": [(fate, many) for fate, many in counts if many],
        "wanted": wanted,
        "postable": not plan.refusals and bool(plan.new_rows or plan.new_payouts),
    }
    return book_list(
        request, FateTable, rows, template="fund/gifts/payout_preview.html", context=context, filename="rows"
    )


@power("gift.import")
@require_POST
def post_file(request: HttpRequest, pk: int) -> HttpResponse:
    file = get_object_or_404(PayoutFile.objects.select_related("layout__platform"), pk=pk)
    if rows_of(file) > LARGE:
        begun = attempt(request, None, lambda: begin_job(by=person_of(request), file=file))
        if begun is None:
            return redirect("gifts:payout-file", pk=pk)
        run_beside(begun)
        return redirect("gifts:payout-job", pk=begun.pk)
    done = attempt(
        request,
        None,
        lambda: import_payout(
            by=person_of(request), data=bytes(file.data), filename=file.name, layout=file.layout
        ),
    )
    if done is None:
        return redirect("gifts:payout-file", pk=pk)
    messages.success(request, f"{file.name}: {done.sentence}")
    return (
        redirect("gifts:payout", pk=done.payouts[0].pk)
        if len(done.payouts) == 1
        else redirect("gifts:payouts")
    )


@power("gift.import")
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a large file is: the page asks again by itself, by script or without."""
    links = ImportJob.objects.select_related("file__layout").defer("file__data")
    found = get_object_or_404(links, pk=pk)
    rows = found.rows_done
    words = {
        "job": found,
        "rows": rows,
        "words": "rows read" if rows < found.rows - READ_STEP else "being written to the books",
        "payouts": Payout.objects.filter(file=found.file_id) if found.state == "done" else (),
    }
    part = request.headers.get("HX-Request") == "true"
    return render(request, f"fund/gifts/{'job_part' if part else 'job'}.html", words)


@power("gift.import")
@require_POST
def drop_file(request: HttpRequest, pk: int) -> HttpResponse:
    file = get_object_or_404(PayoutFile.objects.defer("data"), pk=pk)
    name = attempt(request, None, lambda: discard_file(by=person_of(request), file=file))
    if name:
        messages.success(request, f"{name} is dropped. Nothing was posted from it.")
    return redirect("gifts:payouts")


@power("gift.see")
def payout(request: HttpRequest, pk: int) -> HttpResponseBase:
    found = get_object_or_404(Payout.objects.select_related("platform", "file", "entry"), pk=pk)
    return book_list(
        request,
        GiftTable,
        queries.gifts().filter(payout=found),
        template="fund/gifts/payout.html",
        context={"story": queries.payout_story(found), "payout": found},
        filename=f"payout-{found.ref}",
    )
