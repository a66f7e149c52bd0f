"""What members get in return."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_benefits import add_benefit, owe_benefit, send_benefit
from fund.gifts.forms_open import BenefitForm, OweForm, SendForm
from fund.gifts.models import Benefit, GiftBenefit
from fund.gifts.tables_open import BenefitFilter, BenefitTable
from fund.gifts.views_open import gift_or_404, gift_page
from fund.pages import person_of, posted
from fund.tables import book_list


@power("gift.see")
def benefits(request: HttpRequest) -> HttpResponseBase:
    rows = Benefit.objects.all()
    return book_list(
        request, BenefitTable, rows, BenefitFilter, "fund/gifts/benefits.html", filename="benefits"
    )


@power("gift.record")
def benefit_new(request: HttpRequest) -> HttpResponse:
    back = reverse("gifts:benefits")
    note = "Gifts keep the figures of their day. When the price changes, write down a new benefit."
    return act_page(
        request,
        BenefitForm(**posted(request)),
        lambda told: add_benefit(by=person_of(request), **told),
        Page("A benefit for members", "Write it down", back, "Benefits", note=note),
        done=lambda made: f"“{made.name}” is written down.",
    )


@power("gift.record")
def benefit_owe(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    note = "Its value is no gift: it is owed until the benefit is sent, and the letter takes it off."
    return act_page(
        request,
        OweForm(**posted(request)),
        lambda told: owe_benefit(by=person_of(request), gift=found, **told),
        gift_page(found, "Something is owed in return", "Set it apart", note),
        done=lambda owed: f"{code}: {owed.benefit} is owed.",
    )


@power("gift.record")
def benefit_send(request: HttpRequest, code: str) -> HttpResponse:
    owed = get_object_or_404(GiftBenefit.objects.select_related("gift", "benefit"), gift__code=code)
    found = gift_or_404(code)
    note = f"{owed.benefit}, worth {owed.value.dollars}, planned to cost {owed.cost.dollars}."
    return act_page(
        request,
        SendForm(**posted(request)),
        lambda told: send_benefit(by=person_of(request), owed=owed, **told),
        gift_page(found, "The benefit went out", "Book it as sent", note),
        done=lambda sent: f"{sent.benefit} is booked as sent.",
    )
