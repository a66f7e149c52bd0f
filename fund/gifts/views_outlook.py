"""What may come in: pledges and monthly supporters. Nothing here is booked."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_pledges import end_pledge, record_pledge
from fund.gifts.forms_more import PledgeForm
from fund.gifts.forms_open import ReasonForm
from fund.gifts.models import Pledge
from fund.gifts.queries_pledges import next_months, pledges
from fund.gifts.tables_open import PledgeFilter, PledgeTable
from fund.pages import person_of, posted
from fund.tables import book_list


@power("gift.names")
def outlook(request: HttpRequest) -> HttpResponseBase:
    words = {"months": next_months(clock.today())}
    return book_list(
        request, PledgeTable, pledges(), PledgeFilter, "fund/gifts/outlook.html", words, filename="pledges"
    )


@power("gift.record")
def pledge_new(request: HttpRequest) -> HttpResponse:
    note = (
        "A pledge is an intention. It is never booked, never counted as given and never promised to a repair."
    )
    return act_page(
        request,
        PledgeForm(**posted(request)),
        lambda told: record_pledge(by=person_of(request), **told),
        Page("A pledge", "Write it down", reverse("gifts:outlook"), "Outlook", note=note),
        done=lambda made: f"{made.code} is written down.",
    )


@power("gift.names")
def pledge(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(pledges().select_related("by"), code=code)
    return render(request, "fund/gifts/pledge.html", {"pledge": found})


@power("gift.record")
def pledge_end(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Pledge, code=code)
    back = reverse("gifts:pledge", args=[code])
    note = (
        "Was it kept? Then its gift is written down by itself; this only takes the pledge out of the outlook."
    )
    return act_page(
        request,
        ReasonForm(**posted(request)),
        lambda told: end_pledge(by=person_of(request), pledge=found, why=told["reason"]),
        Page("A pledge ends", "Take it out of the outlook", back, f"Pledge {code}", note=note),
        done=lambda ended: f"{ended.code} has ended.",
    )
