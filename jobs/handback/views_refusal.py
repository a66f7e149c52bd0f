"""Pages about an owner who does not want what makes the vehicle safe: the paper, the signature, and the end of it."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import may, power
from fund.pages import attempt, form_page, person_of, posted
from jobs.handback import actions_refusal
from jobs.handback.forms_proof import WhyForm
from jobs.handback.forms_refusal import SignRefusalForm, UnsafeForm
from jobs.handback.models_proof import UnsafeRefusal
from jobs.handback.rules_refusal import LANGUAGES
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404
from jobs.signing.rules import svg_path

REFUSE = "jobs/handback/refuse.html"


@power("repair.see")
def unsafe(request: HttpRequest, number: str) -> HttpResponse:
    """What the owner refused on this repair, and what was said to it. Their signature only for who may see papers."""
    found = repair_or_404(number)
    sees = may(request.user, "household.papers")
    rows = list(found.unsafe_refusals.select_related("taken_by", "paper", "end", "end__by"))
    shown = [(row, svg_path(row.drawn) if sees and row.drawn else "") for row in rows]
    return render(request, "jobs/handback/unsafe.html", {"repair": found, "rows": shown})


@power("repair.write")
def refuse(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    return form_page(
        request,
        _form(request, found),
        lambda data: actions_refusal.refuse_unsafe(by=person_of(request), repair=found, **data),
        template=REFUSE,
        then=lambda _: reverse("handback:unsafe", args=[number]),
        done=lambda _: "Kept with the signed paper. It is not road-tested and not handed back as it stands.",
        context={"repair": found},
    )


def _form(request: HttpRequest, found: RepairOrder) -> UnsafeForm:
    language = found.household.language
    start = {"on": clock.today(), "language": language if language in LANGUAGES else "en"}
    return UnsafeForm(repair=found, initial=start, **posted(request))


@power("repair.write")
def refusal_paper(request: HttpRequest, number: str) -> HttpResponse:
    """The page to print and sign, from what is typed in the form; nothing is kept."""
    found = repair_or_404(number)
    if request.method != "POST":
        return redirect("handback:refuse", number)
    form = _form(request, found)
    if form.is_valid():
        text = attempt(request, form, lambda: actions_refusal.words_to_sign(repair=found, **form.words()))
        if text is not None:
            return _pdf(actions_refusal.paper_pdf(text), f"{number}-refusal.pdf")
    return render(request, REFUSE, {"form": form, "repair": found}, status=422)


@power("repair.write")
def sign_refusal(request: HttpRequest, number: str) -> HttpResponse:
    """The same words on the screen, with a box to sign in below them."""
    found, by = repair_or_404(number), person_of(request)
    if request.method != "POST":
        return redirect("handback:refuse", number)
    form = _form(request, found)
    words = None
    if form.is_valid():
        words = attempt(request, form, lambda: actions_refusal.words_to_sign(repair=found, **form.words()))
    if words is None:
        return render(request, REFUSE, {"form": form, "repair": found}, status=422)
    signing = "signing" in request.POST
    pad = SignRefusalForm(request.POST if signing else None, language=words.language)
    if signing and pad.is_valid():
        told: dict[str, Any] = {**form.words(), **pad.cleaned_data, "finding": form.cleaned_data["finding"]}
        row = attempt(request, pad, lambda: actions_refusal.refuse_unsafe(by=by, repair=found, **told))
        if row is not None:
            return redirect("handback:unsafe", number)
    context = {"repair": found, "form": form, "pad": pad, "words": words}
    return render(request, "jobs/handback/sign_refusal.html", context, status=422 if pad.errors else 200)


@power("repair.see")
def refusal_pdf(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The words that were signed on the screen, for the owner's own papers."""
    row = get_object_or_404(_refusals(number), pk=pk, told__isnull=False)
    return _pdf(actions_refusal.signed_pdf(row), f"{number}-refusal-{pk}.pdf")


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _refusals(number: str) -> QuerySet[UnsafeRefusal]:
    return UnsafeRefusal.objects.select_related("repair").filter(repair__number=number)


@power("repair.write")
def agreed(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    row = get_object_or_404(_refusals(number), pk=pk)
    return form_page(
        request,
        WhyForm(**posted(request)),
        lambda data: actions_refusal.owner_agreed(by=person_of(request), refusal=row, reason=data["reason"]),
        template="jobs/handback/refusal_end.html",
        then=lambda _: reverse("handback:unsafe", args=[number]),
        done=lambda _: "The owner agreed. The repair goes on.",
        context={"repair": repair_or_404(number), "row": row, "agreed": True},
    )


@power("handback.untested")
def untested(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    row = get_object_or_404(_refusals(number), pk=pk)
    return form_page(
        request,
        WhyForm(**posted(request)),
        lambda data: actions_refusal.let_go_untested(
            by=person_of(request), refusal=row, reason=data["reason"]
        ),
        template="jobs/handback/refusal_end.html",
        then=lambda _: reverse("handback:unsafe", args=[number]),
        done=lambda _: "It may be handed back without a road test. The sheet says so.",
        context={"repair": repair_or_404(number), "row": row, "agreed": False},
    )
