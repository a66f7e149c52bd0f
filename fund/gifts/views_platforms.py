"""Rates of exchange, and payouts that a platform holds."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_platforms import end_hold, note_hold, write_rate
from fund.gifts.forms_more import DayForm, HoldForm, RateForm
from fund.gifts.models import ExchangeRate, Platform, PlatformHold
from fund.gifts.tables_open import RateFilter, RateTable
from fund.pages import person_of, posted
from fund.tables import book_list


@power("gift.see")
def rates(request: HttpRequest) -> HttpResponseBase:
    rows = ExchangeRate.objects.all()
    return book_list(request, RateTable, rows, RateFilter, "fund/gifts/rates.html", filename="rates")


@power("gift.import")
def rate_new(request: HttpRequest) -> HttpResponse:
    note = "A foreign gift is worth what it was worth on its day; what was booked keeps the rate it was valued at."
    return act_page(
        request,
        RateForm(**posted(request)),
        lambda told: write_rate(
            by=person_of(request),
            currency=told["currency"],
            on=told["on"],
            rate_millionths=told["rate"],
            source=told["source"],
        ),
        Page("A rate of exchange", "Write it down", reverse("gifts:rates"), "Rates", note=note),
        done=lambda rate: f"The rate of {rate.currency} on {rate.on} is written down.",
    )


@power("gift.import")
def hold_new(request: HttpRequest, platform: str) -> HttpResponse:
    found = get_object_or_404(Platform, code=platform)
    note = "The money stays in clearing and is not promised to anyone; the close of the month tells of it."
    return act_page(
        request,
        HoldForm(**posted(request)),
        lambda told: note_hold(by=person_of(request), platform=found, **told),
        Page(
            f"{found.name} holds its payout", "Write it down", reverse("gifts:payouts"), "Payouts", note=note
        ),
        done=lambda hold: f"It is written down that {hold.platform.name} holds its payout.",
    )


@power("gift.import")
def hold_end(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(PlatformHold.objects.select_related("platform"), pk=pk)
    return act_page(
        request,
        DayForm(**posted(request)),
        lambda told: end_hold(by=person_of(request), hold=found, on=told["on"]),
        Page(f"{found.platform.name} pays out again", "Write it down", reverse("gifts:payouts"), "Payouts"),
        done=lambda hold: f"{hold.platform.name} pays out again.",
    )
