"""Changes of what restricted money is for: asked by one, decided by another."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_restrictions import ask_restriction_change, decide_restriction_change
from fund.gifts.forms_more import RestrictionDecisionForm, RestrictionForm
from fund.gifts.models import RestrictionChange
from fund.gifts.rules_restrictions import ASKED, CHANGES
from fund.gifts.tables_open import RestrictionFilter, RestrictionTable
from fund.pages import person_of, posted
from fund.tables import book_list

LINKS = ("purpose", "gift", "asked_by", "decided_by", "entry")


@power("books.see")
def restrictions(request: HttpRequest) -> HttpResponseBase:
    rows = RestrictionChange.objects.select_related("purpose", "asked_by")
    return book_list(
        request,
        RestrictionTable,
        rows,
        RestrictionFilter,
        "fund/gifts/restrictions.html",
        filename="restrictions",
    )


@power("restriction.ask")
def restriction_new(request: HttpRequest) -> HttpResponse:
    note = (
        "Only the giver can let go of a restriction, and only in writing. An owner or the accountant looks at the writing "
        "and decides; until then nothing is booked."
    )
    return act_page(
        request,
        RestrictionForm(**posted(request)),
        lambda told: ask_restriction_change(by=person_of(request), **told),
        Page("Change what money is for", "Ask for it", reverse("gifts:restrictions"), "Changes", note=note),
        done=lambda change: f"{change.code} waits for a second person.",
        then=lambda change: reverse("gifts:restriction", args=[change.code]),
    )


@power("books.see")
def restriction(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(RestrictionChange.objects.select_related(*LINKS), code=code)
    return render(request, "fund/gifts/restriction.html", {"change": found, "asked": found.state == ASKED})


@power("restriction.decide")
def restriction_decide(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(RestrictionChange.objects.select_related(*LINKS), code=code)
    back = reverse("gifts:restriction", args=[code])
    under = f"{found.amount.dollars} for {found.purpose.name}: {CHANGES[found.kind]}"

    def ask(told: dict[str, Any]) -> tuple[str, list[str], str]:
        if told["agreed"] == "yes":
            return f"{under}?", [f"In writing: {found.words}", "It is booked at once."], "Yes, book it"
        return f"Refuse {code}?", ["Nothing is booked."], "Refuse it"

    return act_page(
        request,
        RestrictionDecisionForm(**posted(request)),
        lambda told: decide_restriction_change(
            by=person_of(request), change=found, agreed=told["agreed"] == "yes"
        ),
        Page(f"Decide on {code}", "Go on", back, f"Change {code}", under, f"In writing: {found.words}"),
        done=lambda change: f"{code} is {change.get_state_display()}.",
        ask=ask,
    )
