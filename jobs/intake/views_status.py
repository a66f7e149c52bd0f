"""After sending, by the same link: how it stands, what was agreed to, a second look, and taking it back."""

from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.eligibility.actions_second import appeal
from jobs.households.actions_consent import change_consent
from jobs.intake.actions_draft import speak
from jobs.intake.actions_public import withdraw_request
from jobs.intake.forms_parts import AskForm, story
from jobs.intake.models_draft import Draft
from jobs.intake.pages import PAGES
from jobs.intake.private import by_link, tried
from jobs.intake.queries_consents import consent_lines
from jobs.intake.rules import CONSENTS
from jobs.intake.words import status_of

READ_OR_SEND = require_http_methods(["GET", "HEAD", "POST"])


class NothingForm(AskForm):
    """No box of its own: it carries what was refused."""


class SecondLookForm(AskForm):
    words = story(_("What should we look at again? Tell it in your own words."), 4, required=True)


class ConsentForm(AskForm):
    """Two hidden boxes behind a button; whatever else comes in them is refused in one sentence."""

    key = forms.CharField(required=False, widget=forms.HiddenInput)
    given = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("key") not in CONSENTS or cleaned.get("given") not in ("yes", "no"):
            raise ValidationError(gettext("Nothing was changed. Press the button of what you mean."))
        return {"key": cleaned["key"], "given": cleaned["given"] == "yes"}


@by_link
def mine(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """What the link leads to: the pages still to fill in, or how the request stands."""
    context = _context(request, draft, secret)
    if draft.application is None:
        done = set(draft.told["done"])
        context |= {
            "pages": [(page, page.key in done) for page in PAGES.values()],
            "following": next((page for page in PAGES.values() if page.key not in done), PAGES["yes"]),
        }
        return render(request, "jobs/intake/ask_draft.html", context)
    context |= {"application": draft.application, "status": status_of(draft.application)}
    return render(request, "jobs/intake/ask_status.html", context)


def _context(request: HttpRequest, draft: Draft, secret: str) -> dict[str, Any]:
    link = request.build_absolute_uri(reverse("asking:mine", args=[secret]))
    other = "en" if draft.told.get("language") == "es" else "es"
    return {"secret": secret, "link": link, "other": other}


@READ_OR_SEND
@by_link
def consents(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """Each yes as it stands, to be taken back or given."""
    application = draft.application
    if application is None:
        return redirect("asking:page", secret, "yes")
    form = ConsentForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        now = {line.key: line.given for line in consent_lines(application)}
        asked = form.cleaned_data
        stands = now.get(asked["key"]) == asked["given"]  # pressed twice, or on another phone before
        if stands or tried(form, lambda: change_consent(by=None, application=application, **asked)):
            return redirect("asking:consents", secret)
    lines = [replace(line, words=gettext(line.words)) for line in consent_lines(application)]
    context = _context(request, draft, secret) | {"form": form, "lines": lines}
    return render(request, "jobs/intake/ask_consents.html", context, status=422 if form.errors else 200)


@READ_OR_SEND
@by_link
def second_look(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """The household asks that a decision be looked at again; someone else decides then."""
    application = draft.application
    if application is None or not status_of(application).may_ask_again:
        return redirect("asking:mine", secret)
    form = SecondLookForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        words = form.cleaned_data["words"]
        if tried(form, lambda: appeal(by=None, application=application, words=words)):
            return redirect("asking:mine", secret)
    context = _context(request, draft, secret) | {"form": form}
    return render(request, "jobs/intake/ask_second_look.html", context, status=422 if form.errors else 200)


@READ_OR_SEND
@by_link
def withdraw(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """Take a request back, after a question."""
    if draft.application is None:
        return redirect("asking:drop", secret)
    form = NothingForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid() and tried(form, lambda: withdraw_request(draft=draft)):
        return redirect("asking:mine", secret)
    context = _context(request, draft, secret) | {"form": form}
    return render(request, "jobs/intake/ask_withdraw.html", context, status=422 if form.errors else 200)


@require_POST
@by_link
def language(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    speak(draft=draft, language=request.POST.get("language", ""))
    return redirect("asking:mine", secret)
