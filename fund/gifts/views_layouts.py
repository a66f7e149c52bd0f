"""Layouts of payout files, and platforms."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from fund.access.guards import power
from fund.access.models import Person
from fund.gifts.actions_layouts import add_platform, save_layout
from fund.gifts.actions_sample import drop_sample, keep_sample, save_from_sample
from fund.gifts.forms_payout import LayoutForm, PlatformForm
from fund.gifts.forms_sample import SampleForm, SampleUploadForm
from fund.gifts.models import Layout, LayoutSample, Platform
from fund.gifts.queries_sample import Reads, how_it_reads
from fund.gifts.rules_guess import read_sample
from fund.gifts.tables import LayoutTable
from fund.ledger.actions import add_clearing_account
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list


@power("gift.layout")
def layouts(request: HttpRequest) -> HttpResponseBase:
    rows = Layout.objects.select_related("platform")
    platforms = Platform.objects.select_related("account")
    return book_list(
        request,
        LayoutTable,
        rows,
        None,
        "fund/gifts/layouts.html",
        {"platforms": platforms},
        filename="layouts",
    )


@power("gift.layout")
def layout_new(request: HttpRequest) -> HttpResponse:
    return _layout_page(request, LayoutForm(**posted(request)), None)


@power("gift.layout")
def layout(request: HttpRequest, name: str) -> HttpResponse:
    found = get_object_or_404(Layout, name=name)
    return _layout_page(request, LayoutForm(**posted(request), initial=LayoutForm.initial_of(found)), found)


def _layout_page(request: HttpRequest, form: LayoutForm, found: Layout | None) -> HttpResponse:
    return form_page(
        request,
        form,
        lambda told: save_layout(by=person_of(request), platform=told["platform"], spec=form.spec()),
        template="fund/gifts/layout_form.html",
        then=lambda _: reverse("gifts:layouts"),
        done=lambda saved: f"Layout {saved.name} is saved.",
        context={"layout": found},
    )


@power("gift.layout")
def sample_new(request: HttpRequest) -> HttpResponse:
    form = SampleUploadForm(**posted(request))
    return form_page(
        request,
        form,
        lambda told: keep_sample(
            by=person_of(request), data=told["file"].read(), filename=told["file"].name or ""
        ),
        template="fund/gifts/sample_new.html",
        then=lambda made: reverse("gifts:sample", args=[made.pk]),
        context={"waiting": LayoutSample.objects.defer("data").select_related("by")},
    )


def _sample_form(request: HttpRequest, found: LayoutSample) -> SampleForm:
    stem = slugify(found.name.rsplit(".", 1)[0])[:40]
    told = {"data": request.POST} if request.method == "POST" else {}
    return SampleForm(read_sample(bytes(found.data)), initial={"name": stem}, **told)


def _reads(found: LayoutSample, form: SampleForm) -> Reads:
    platform = (
        Platform.objects.filter(pk=form["platform"].value() or None).first() or Platform.objects.first()
    )
    return how_it_reads(bytes(found.data), platform, form.spec())


@power("gift.layout")
def sample(request: HttpRequest, pk: int) -> HttpResponse:
    """The file with a guess at each column, and how its first rows read by it; saving goes on to the whole preview."""
    found = get_object_or_404(LayoutSample, pk=pk)
    form = _sample_form(request, found)
    if request.method == "POST" and "save" in request.POST and form.is_valid():
        told = form.cleaned_data
        file = attempt(
            request,
            form,
            lambda: save_from_sample(
                by=person_of(request), sample=found, platform=told["platform"], spec=form.spec()
            ),
        )
        if file is not None:
            messages.success(request, f"Layout {told['name']} is saved. Look at every row before you post.")
            return redirect("gifts:payout-file", pk=file.pk)
    words = {"form": form, "sample": found, "reads": _reads(found, form)}
    wrong = "save" in request.POST and bool(form.errors)
    return render(request, "fund/gifts/sample.html", words, status=422 if wrong else 200)


@power("gift.layout")
@require_POST
def sample_reads(request: HttpRequest, pk: int) -> HttpResponse:
    """The words and the first rows as the form stands: a piece of the page, asked for after each change."""
    found = get_object_or_404(LayoutSample, pk=pk)
    form = _sample_form(request, found)
    words = {"form": form, "sample": found, "reads": _reads(found, form)}
    return render(request, "fund/gifts/sample_reads.html", words)


@power("gift.layout")
@require_POST
def sample_drop(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(LayoutSample.objects.defer("data"), pk=pk)
    name = attempt(request, None, lambda: drop_sample(by=person_of(request), sample=found))
    if name:
        messages.success(request, f"{name} is dropped.")
    return redirect("gifts:layouts")


@power("gift.layout")
def platform_new(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        PlatformForm(**posted(request)),
        lambda told: _add(person_of(request), told),
        template="fund/gifts/platform_form.html",
        then=lambda _: reverse("gifts:layouts"),
        done=lambda made: f"{made.name} is taken up, with clearing account {made.account_id}.",
    )


@transaction.atomic
def _add(by: Person, told: dict[str, Any]) -> Platform:
    # Both or neither: a clearing account without its platform would puzzle the accountant.
    account = add_clearing_account(by=by, name=told["name"])
    return add_platform(by=by, account=account.code, **told)
