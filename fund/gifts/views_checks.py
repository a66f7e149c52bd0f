"""Checks with a date to come, and gifts on crew members' own accounts."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.gifts import queries_open
from fund.gifts.act import Page, act_page
from fund.gifts.actions_checks import book_held_check, hand_back_check, hand_over, hold_check
from fund.gifts.forms_more import HandBackForm, HandOverForm, HeldCheckForm
from fund.gifts.models import HeldCheck
from fund.gifts.tables_open import HeldCheckFilter, HeldCheckTable
from fund.pages import attempt, person_of, posted
from fund.tables import book_list


@power("gift.see")
def checks(request: HttpRequest) -> HttpResponseBase:
    rows = HeldCheck.objects.select_related("supporter", "gift")
    return book_list(
        request, HeldCheckTable, rows, HeldCheckFilter, "fund/gifts/checks.html", filename="held-checks"
    )


@power("gift.record")
def check_new(request: HttpRequest) -> HttpResponse:
    note = "It is no gift before its date, so nothing is booked. Keep the check locked away and do not bank it early."

    def act(told: dict[str, Any]) -> HeldCheck:
        return hold_check(by=person_of(request), **{**told, "purpose": told["purpose"].code})

    return act_page(
        request,
        HeldCheckForm(**posted(request)),
        act,
        Page("Hold a check", "Hold it", reverse("gifts:checks"), "Held checks", note=note),
        done=lambda held: f"{held.code} is held until {held.dated_on}.",
    )


@power("gift.see")
def check(request: HttpRequest, code: str) -> HttpResponse:
    links = ("supporter", "purpose", "gift", "by")
    found = get_object_or_404(HeldCheck.objects.select_related(*links), code=code)
    ripe = found.dated_on <= clock.today()
    still = found.gift is None and found.handed_back_on is None
    return render(request, "fund/gifts/check.html", {"held": found, "ripe": ripe, "still": still})


@power("gift.record")
@require_POST
def check_book(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(HeldCheck, code=code)
    gift = attempt(request, None, lambda: book_held_check(by=person_of(request), held=found))
    if gift is None:
        return redirect("gifts:check", code=code)
    messages.success(request, f"{code} is gift {gift.code} now and waits to be banked.")
    return redirect("gifts:gift", code=gift.code)


@power("gift.record")
def check_back(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(HeldCheck, code=code)
    back = reverse("gifts:check", args=[code])
    return act_page(
        request,
        HandBackForm(**posted(request)),
        lambda told: hand_back_check(by=person_of(request), held=found, **told),
        Page("Hand a check back", "It goes back", back, f"Held check {code}"),
        done=lambda held: f"{held.code} is handed back. Nothing was booked.",
    )


@power("gift.bank")
def own_accounts(request: HttpRequest) -> HttpResponse:
    form = HandOverForm(queries_open.on_own_accounts(), **posted(request))
    note = "" if form.waiting else "No gift is on a crew member's own account."
    return act_page(
        request,
        form,
        lambda told: hand_over(by=person_of(request), gifts=form.picked(), on=told["on"]),
        Page(
            "Gifts that came to somebody's own account",
            "Book the transfer",
            reverse("gifts:waiting"),
            "Open matters",
            "One person brings all of each gift in one transfer.",
            note,
        ),
        done=lambda made: f"{made.code}: {made.total.dollars} came to the bank.",
    )
