"""Asking for help without the crew: page by page, kept as a draft behind a private link."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from fund.rulebook.queries import rule
from jobs.intake import pace
from jobs.intake.actions_draft import SPOKEN, begin_draft, drop_draft, keep_page
from jobs.intake.actions_public import public_request
from jobs.intake.models_draft import Draft
from jobs.intake.pages import (
    PAGES,
    Page,
    Sheet,
    first_unfit,
    number_of,
    page_after,
    request_of,
    sheet,
    typed_on,
)
from jobs.intake.private import by_link, in_language, tried
from jobs.intake.rules import BELONGS
from jobs.intake.words import noes
from jobs.vehicles.rules import NEVER_IN_A_VIN, tidy_vin

READ_OR_SEND = require_http_methods(["GET", "HEAD", "POST"])
PAGE = "jobs/intake/ask_page.html"
FIRST = PAGES["questions"]


@READ_OR_SEND
@in_language
def start(request: HttpRequest, language: str) -> HttpResponse:
    """The first questions. Nothing is kept before they are answered."""
    if request.method != "POST":
        return _show(request, sheet(FIRST, None, {}, judged=False), language=language, shown=pace.stamp())
    typed = typed_on(FIRST, request.POST)
    shown = pace.stamp_again(request.POST.get("shown", ""))
    if "language" in request.POST:  # the button of the other language was pressed: judge nothing yet
        return _show(request, sheet(FIRST, typed, {}, judged=False), language=language, shown=shown)
    filled = sheet(FIRST, typed, {}, judged=True)
    if filled.fits():
        made: list[str] = []
        if tried(filled.form, lambda: made.append(_begin(request, language, typed))):
            return redirect(_after_questions(made[0], filled))
    return _show(request, filled, language=language, shown=shown)


def _begin(request: HttpRequest, language: str, typed: dict[str, str]) -> str:
    pace.refuse_machines(request, "begin")
    return begin_draft(language=language, page=FIRST.key, typed=typed)[1]


def _after_questions(secret: str, filled: Sheet) -> str:
    no = noes(filled.form.answers())  # type: ignore[attr-defined]
    return reverse("asking:early", args=[secret]) if no else reverse("asking:page", args=[secret, "you"])


@by_link
def early(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """What a no to the first questions means, before anyone tells more."""
    if draft.application_id is not None:
        return redirect("asking:mine", secret)
    answers = sheet(FIRST, draft.told["pages"].get(FIRST.key), draft.told, judged=True)
    answers.fits()
    found = noes(answers.form.answers()) if answers.form.is_valid() else []  # type: ignore[attr-defined]
    context = {"noes": found, "ends_it": any(no.ends_it for no in found), "secret": secret}
    return render(request, "jobs/intake/ask_early.html", context)


@READ_OR_SEND
@by_link
def page(request: HttpRequest, draft: Draft, secret: str, key: str) -> HttpResponse:
    """One page of the form. What is typed is kept whether or not something in it is wrong."""
    if key not in PAGES:
        raise Http404
    here = PAGES[key]
    if draft.application_id is not None:
        return redirect("asking:mine", secret)
    if request.method == "POST":
        return _keep(request, draft, secret, here)
    judged = "check" in request.GET and key in draft.told["pages"]
    return _show(request, sheet(here, draft.told["pages"].get(key), draft.told, judged=judged), draft, secret)


def _keep(request: HttpRequest, draft: Draft, secret: str, here: Page) -> HttpResponse:
    """Keep a page and go on; with more rows or the other language stay on it, and count it as done only if it was."""
    typed = typed_on(here, request.POST)
    filled = sheet(here, typed, draft.told, judged=True)
    fits, spoken = filled.fits(), request.POST.get("language", "")
    stays = bool(spoken) or "more" in request.POST
    done = fits and (not stays or here.key in draft.told["done"])
    if not tried(
        filled.form, lambda: keep_page(draft=draft, page=here.key, typed=typed, done=done, language=spoken)
    ):
        return _show(request, filled, draft, secret)
    if stays:
        return _again(request, draft, secret, here, typed)
    if not fits:
        return _show(request, filled, draft, secret)
    if here.key == FIRST.key:
        return redirect(_after_questions(secret, filled))
    following = page_after(here)
    return (
        redirect("asking:page", secret, following.key) if following else _send(request, draft, secret, filled)
    )


def _again(
    request: HttpRequest, draft: Draft, secret: str, here: Page, typed: dict[str, str]
) -> HttpResponse:
    """The same page with nothing judged: with more rows, or in the other language."""
    if request.POST.get("language"):
        return redirect("asking:page", secret, here.key)
    more = {**typed, "more": "yes"}
    return _show(request, sheet(here, more, draft.told, judged=False), draft, secret)


def _send(request: HttpRequest, draft: Draft, secret: str, filled: Sheet) -> HttpResponse:
    """After the last page: send, or lead to the first page where something is missing."""
    draft.refresh_from_db()
    unfit = first_unfit(draft.told)
    if unfit is not None:
        return redirect(reverse("asking:page", args=[secret, unfit.key]) + "?check=1")
    asked = request_of(draft.told)

    def act() -> None:
        pace.refuse_machines(request, "send")
        public_request(draft=draft, asking=asked.asking, members=asked.members, incomes=asked.incomes)

    if tried(filled.form, act):
        return redirect("asking:mine", secret)
    return _show(request, filled, draft, secret)


@READ_OR_SEND
@by_link
def drop(request: HttpRequest, draft: Draft, secret: str) -> HttpResponse:
    """Throw a draft away, after a question."""
    if draft.application_id is not None:
        return redirect("asking:mine", secret)
    if request.method == "POST":
        spanish = draft.told["language"] == "es"
        drop_draft(draft=draft)
        return redirect("public:ask-for-help-es" if spanish else "public:ask-for-help")
    return render(request, "jobs/intake/ask_drop.html", {"secret": secret})


def _show(
    request: HttpRequest,
    filled: Sheet,
    draft: Draft | None = None,
    secret: str = "",
    language: str = "",
    shown: str = "",
) -> HttpResponse:
    spoken = language or (draft.told["language"] if draft else SPOKEN[0])
    context: dict[str, Any] = {
        "page": filled.page,
        "form": filled.form,
        "rows": filled.rows,
        "number": number_of(filled.page),
        "pages": list(PAGES.values()),
        "done": set(draft.told["done"]) if draft else set(),
        "last": page_after(filled.page) is None,
        "secret": secret,
        "link": request.build_absolute_uri(reverse("asking:mine", args=[secret])) if secret else "",
        "other": "en" if spoken == "es" else "es",
        "shown": shown,
        "definition": gettext(BELONGS[rule("household_definition")]) if filled.page.key == "home" else "",
    }
    if draft and filled.page.key in ("vehicle", "trouble"):
        vin = tidy_vin(str(draft.told["pages"].get("vehicle", {}).get("vin", "")))
        context["odd_vin"] = any(
            letter in vin for letter in NEVER_IN_A_VIN
        )  # told once it is kept, and never in the way
    wrong = filled.form.errors or (
        filled.rows is not None and filled.rows.is_bound and not filled.rows.is_valid()
    )
    return render(request, PAGE, context, status=422 if wrong else 200)
