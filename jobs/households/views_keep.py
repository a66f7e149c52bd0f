from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.eligibility.ties import refuse_reading
from jobs.households.actions_consent import change_consent
from jobs.households.actions_keep import lift_hold, set_hold
from jobs.households.actions_own import hand_over_data
from jobs.households.actions_papers import read_copy
from jobs.households.actions_put_right import put_right as write_put_right
from jobs.households.forms_keep import ConsentForm, HoldForm, PutRightForm, SureForm
from jobs.households.models import Household
from jobs.households.models_papers import PaperCopy
from jobs.households.queries_consent import consents_on
from jobs.households.queries_keep import destruction_log, standing_hold
from jobs.households.tables_keep import DestructionTable
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS

_TYPES = {"jpeg": ("image/jpeg", "jpg"), "png": ("image/png", "png"), "pdf": ("application/pdf", "pdf")}


@power("household.papers")
def copy(request: HttpRequest, pk: int) -> HttpResponse:
    """The copy of a paper, unsealed for this one reading. Nothing on the way may keep it."""
    found = get_object_or_404(PaperCopy.objects.select_related("sighting__household"), pk=pk)
    content = attempt(request, None, lambda: read_copy(by=person_of(request), copy=found))
    if content is None:
        return redirect("households:household", found.sighting.household.code)
    kind, ending = _TYPES[found.kind]
    return _private(
        HttpResponse(content, content_type=kind), f"paper-{found.pk}.{ending}", found.kind == "pdf"
    )


@power("household.papers")
@require_POST
def own_data(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Household, code=code)
    text = attempt(request, None, lambda: hand_over_data(by=person_of(request), household=found))
    if text is None:
        return redirect("households:household", code)
    return _private(HttpResponse(text, content_type="text/plain; charset=utf-8"), f"{code}.txt", True)


def _private(response: HttpResponse, name: str, download: bool) -> HttpResponse:
    response["Content-Disposition"] = content_disposition_header(download, name) or "inline"
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@power("household.screen")
def hold(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Household, code=code)
    refuse_reading(person_of(request), found)
    return form_page(
        request,
        HoldForm(**posted(request)),
        lambda cleaned: set_hold(by=person_of(request), household=found, **cleaned),
        template="jobs/households/hold.html",
        then=lambda _: reverse("households:household", args=[code]),
        done=lambda _: f"Nothing of household {found.alias} is destroyed until the hold is lifted.",
        context={"household": found},
    )


@power("repair.approve")
def unhold(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Household, code=code)
    refuse_reading(person_of(request), found)
    return form_page(
        request,
        SureForm(**posted(request)),
        lambda _: lift_hold(by=person_of(request), household=found),
        template="jobs/households/unhold.html",
        then=lambda _: reverse("households:household", args=[code]),
        done=lambda _: f"The hold on household {found.alias} is lifted.",
        context={"household": found, "hold": standing_hold(found)},
    )


@power("intake.enter")
def consent(request: HttpRequest, code: str) -> HttpResponse:
    """Write down that a household takes a consent back or gives it again; ``code`` is the request's."""
    found = get_object_or_404(Application.objects.select_related("household"), code=code)
    form = ConsentForm(application=found, initial={"on": clock.today(), "given": "no"}, **posted(request))
    now = consents_on(found)
    return form_page(
        request,
        form,
        lambda cleaned: change_consent(by=person_of(request), application=found, **form.answers(cleaned)),
        template="jobs/households/consent.html",
        then=lambda _: reverse("intake:request", args=[code]),
        done=lambda row: f"Written down. From {row.on} on the answer is {'yes' if row.given else 'no'}.",
        context={
            "application": found,
            "now": [(words, now.get(key, False)) for key, words in CONSENTS.items()],
        },
    )


@power("household.screen")
def put_right(request: HttpRequest, code: str) -> HttpResponse:
    """Something went out by which this household could be known; what was done about it."""
    found = get_object_or_404(Household, code=code)
    return form_page(
        request,
        PutRightForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: write_put_right(by=person_of(request), household=found, **cleaned),
        template="jobs/households/put_right.html",
        then=lambda _: reverse("households:household", args=[code]),
        done=lambda row: f"Written down: {row.showed_words}, {row.done_words} on {row.on}.",
        context={"household": found},
    )


@power("household.papers")
def destroyed(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        DestructionTable,
        destruction_log(),
        template="jobs/households/destroyed.html",
        filename="destruction-log",
    )
