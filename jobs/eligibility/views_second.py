"""Pages for what takes a second person, and for the letters."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import content_disposition_header

from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from jobs.eligibility.actions_second import appeal, tie_then_answer, tie_then_ask
from jobs.eligibility.forms_second import AnswerForm, AppealForm, ExceptionForm
from jobs.eligibility.letters import letter_pdf, letter_text, send_letter
from jobs.eligibility.models import EligibilityDecision
from jobs.eligibility.models_second import RuleException
from jobs.eligibility.queries import latest_decision
from jobs.eligibility.queries_priced import rules_now
from jobs.eligibility.rules_facts import FAIL
from jobs.eligibility.rules_letter import TEXTS
from jobs.eligibility.ties import refuse_reading
from jobs.households.forms_keep import SureForm
from jobs.intake.models import Application

LANGUAGES = {"en": "English", "es": "Spanish"}


@power("household.screen")
def ask(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Application.objects.select_related("household"), code=code)
    refuse_reading(person_of(request), found.household)
    failing = [row for row in rules_now(found) if row.outcome == FAIL and row.yields]
    form = ExceptionForm(failing=failing, **posted(request))
    return form_page(
        request,
        form,
        lambda cleaned: tie_then_ask(by=person_of(request), application=found, **form.answers(cleaned)),
        template="jobs/eligibility/exception.html",
        then=lambda _: reverse("eligibility:decide", args=[code]),
        done=lambda _: "The exception is asked for. A second person answers.",
        context={"application": found, "failing": failing},
    )


@power("household.screen")
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    rows = RuleException.objects.select_related("application__household", "asked_by")
    found = get_object_or_404(rows, pk=pk)
    refuse_reading(person_of(request), found.application.household)
    form = AnswerForm(**posted(request))
    code = found.application.code
    return form_page(
        request,
        form,
        lambda cleaned: tie_then_answer(by=person_of(request), exception=found, **form.answers(cleaned)),
        template="jobs/eligibility/exception_answer.html",
        then=lambda _: reverse("eligibility:decide", args=[code]),
        done=lambda row: "The rule gives way." if row.agreed else "The rule stands.",
        context={"exception": found, "application": found.application},
    )


@power("intake.enter")
def second_look(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Application.objects.select_related("household"), code=code)
    return form_page(
        request,
        AppealForm(**posted(request)),
        lambda cleaned: appeal(by=person_of(request), application=found, **cleaned),
        template="jobs/eligibility/appeal.html",
        then=lambda _: reverse("intake:request", args=[code]),
        done=lambda _: "Written down. Someone who did not decide before looks at it again.",
        context={"application": found, "decision": latest_decision(found)},
    )


def _language(request: HttpRequest, decision: EligibilityDecision) -> str:
    asked = request.GET.get("language", "")
    own = decision.application.household.language
    return asked if asked in TEXTS else own if own in TEXTS else "en"


@power("household.screen")
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    """The letter as it would go out, in both languages to choose from; the button keeps it word for word."""
    rows = EligibilityDecision.objects.select_related("application__household", "decided_by")
    found = get_object_or_404(rows, pk=pk)
    refuse_reading(person_of(request), found.application.household)
    language = _language(request, found)
    text = attempt(request, None, lambda: letter_text(found, language))
    context = {"decision": found, "letter": text, "language": language, "languages": LANGUAGES}
    if text is None:
        return render(request, "jobs/eligibility/letter.html", context)
    return form_page(
        request,
        SureForm(**posted(request)),
        lambda _: send_letter(by=person_of(request), decision=found, language=language),
        template="jobs/eligibility/letter.html",
        then=lambda _: reverse("eligibility:decision", args=[pk]),
        done=lambda _: "The letter is kept as it goes out.",
        context={**context, "sent": found.letters.select_related("by")},
    )


@power("household.screen")
def letter_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The letter as PDF; with ``?format=text`` as plain text."""
    found = get_object_or_404(EligibilityDecision.objects.select_related("application__household"), pk=pk)
    refuse_reading(person_of(request), found.application.household)
    language = _language(request, found)
    text = attempt(request, None, lambda: letter_text(found, language))
    if text is None:
        return render(
            request, "jobs/eligibility/letter.html", {"decision": found, "letter": None}, status=422
        )
    plain = request.GET.get("format") == "text"
    content, kind, ending = (
        (text.text.encode(), "text/plain; charset=utf-8", "txt")
        if plain
        else (letter_pdf(text), "application/pdf", "pdf")
    )
    response = HttpResponse(content, content_type=kind)
    name = f"letter-{found.application.code}-{text.language}.{ending}"
    response["Content-Disposition"] = content_disposition_header(True, name) or "inline"
    response["Cache-Control"] = "private, no-store"
    return response
