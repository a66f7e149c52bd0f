"""Chargebacks, and money that was talked out of the fund."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_disputes import decide_dispute, open_dispute, record_fraud_loss
from fund.gifts.forms_open import DecideForm, DisputeForm, SentElsewhereForm
from fund.gifts.models import GiftReturn
from fund.gifts.rules import CHARGEBACK
from fund.gifts.tables_open import DisputeFilter, DisputeTable
from fund.gifts.views_open import gift_or_404, gift_page
from fund.money import Money
from fund.pages import person_of, posted
from fund.tables import book_list


@power("gift.see")
def disputes(request: HttpRequest) -> HttpResponseBase:
    rows = GiftReturn.objects.filter(kind=CHARGEBACK).select_related("gift__supporter", "platform")
    return book_list(
        request, DisputeTable, rows, DisputeFilter, "fund/gifts/disputes.html", filename="disputes"
    )


@power("gift.record")
def dispute_new(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    note = (
        "The gift is out of income while it is in dispute, and no letter tells of it. What repairs it paid for stays as it "
        "is. Most platforms give about ten days to answer."
    )
    return act_page(
        request,
        DisputeForm(**posted(request)),
        lambda told: open_dispute(
            by=person_of(request), gift=found, **{**told, "fee": told["fee"] or Money.zero}
        ),
        gift_page(found, "A chargeback", "Book the chargeback", note),
        done=lambda back: f"{code}: {back.amount.dollars} is in dispute.",
    )


@power("gift.record")
def dispute_decide(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(GiftReturn.objects.select_related("gift", "platform"), pk=pk, kind=CHARGEBACK)
    code = found.gift.code if found.gift else ""
    back = reverse("gifts:gift", args=[code]) if code else reverse("gifts:disputes")
    under = f"{found.amount.dollars} of {code or 'a gift not in the books'}, taken {found.on}"
    page = Page("How the dispute ended", "Write it down", back, f"Gift {code}" if code else "Disputes", under)
    return act_page(
        request,
        DecideForm(**posted(request)),
        lambda told: decide_dispute(
            by=person_of(request),
            dispute=found,
            on=told["on"],
            won=told["outcome"] == "won",
            words=told["words"],
            platform_ref=told["platform_ref"],
        ),
        page,
        done=lambda dispute: f"The dispute is {dispute.outcome}.",
    )


@power("gift.record")
def sent_elsewhere(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    caution = (
        "Only for money that has left already. A gift goes back whole and the way it came, through Refund; whoever asks for "
        "a part of it by another way may be turning a stolen card into money."
    )
    return act_page(
        request,
        SentElsewhereForm(**posted(request)),
        lambda told: record_fraud_loss(by=person_of(request), gift=found, **told),
        gift_page(found, "Money was sent by another way", "Book the loss", caution=caution),
        done=lambda _: f"The loss is booked. {code} itself still stands until it is refunded or disputed.",
    )
