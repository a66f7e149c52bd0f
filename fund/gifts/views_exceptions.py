"""Exceptions about gifts, and the second look each is owed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_disputes import undo_card_testing
from fund.gifts.actions_watch import resolve_exception
from fund.gifts.forms_more import DayForm
from fund.gifts.forms_open import ResolveForm
from fund.gifts.models import GiftException
from fund.gifts.rules_watch import TESTING
from fund.gifts.tables_open import ExceptionFilter, ExceptionTable
from fund.money import total
from fund.pages import person_of, posted
from fund.tables import book_list

SHOWN = 50


@power("gift.see")
def exceptions(request: HttpRequest) -> HttpResponseBase:
    rows = GiftException.objects.all()
    return book_list(
        request, ExceptionTable, rows, ExceptionFilter, "fund/gifts/exceptions.html", filename="exceptions"
    )


@power("gift.see")
def exception(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(GiftException.objects.select_related("count", "resolved_by"), code=code)
    gifts = list(found.gifts.select_related("supporter").order_by("pk")[: SHOWN + 1])
    words = {
        "found": found,
        "gifts": gifts[:SHOWN],
        "more": len(gifts) > SHOWN,
        "testing": found.kind == TESTING and found.resolved_on is None,
    }
    return render(request, "fund/gifts/exception.html", words)


@power("gift.second_look")
def exception_resolve(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(GiftException, code=code)
    back = reverse("gifts:exception", args=[code])
    return act_page(
        request,
        ResolveForm(**posted(request)),
        lambda told: resolve_exception(by=person_of(request), found=found, words=told["words"]),
        Page("A second look", "It is resolved", back, f"Exception {code}", found.text),
        done=lambda done: f"{done.code} is resolved.",
    )


@power("gift.record")
def testing_undo(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(GiftException, code=code, kind=TESTING)

    def ask(told: dict[str, Any]) -> tuple[str, list[str], str]:
        gifts = list(found.gifts.all())
        amount = total(gift.amount for gift in gifts)
        lines = [
            f"{amount.dollars} goes back the way it came. Fees that the platform keeps stay a cost.",
            "The gifts no longer count, and nobody of them is a supporter.",
            "Refund them at the platform too; its next file finds them booked.",
        ]
        return f"Undo {len(gifts)} gifts as card testing?", lines, "Undo them all"

    return act_page(
        request,
        DayForm(**posted(request)),
        lambda told: undo_card_testing(by=person_of(request), found=found, on=told["on"]),
        Page(
            "Undo card testing",
            "Go on",
            reverse("gifts:exception", args=[code]),
            f"Exception {code}",
            found.text,
        ),
        done=lambda backs: f"{len(backs)} gifts are undone.",
        ask=ask,
    )
