"""Gifts and supporters."""

from typing import Any

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse

from fund.access.guards import power
from fund.access.models import Person
from fund.attachments.actions import store
from fund.gifts import queries
from fund.gifts.actions import GivenPart, add_supporter, record_gift
from fund.gifts.actions_returns import record_refund, return_check
from fund.gifts.forms import GiftForm, RefundForm, ReturnedCheckForm
from fund.gifts.may import acts_on
from fund.gifts.models import Gift
from fund.gifts.queries_letters import STATES
from fund.gifts.rules import CHECK, GOODS, VIA_CREW
from fund.gifts.rules_exchange import rate_words
from fund.gifts.rules_terms import GIFT
from fund.gifts.tables import GiftFilter, GiftTable
from fund.ledger.chart import SHELF, SUPPLIES
from fund.money import Money
from fund.pages import form_page, person_of, posted
from fund.tables import book_list


@power("gift.see")
def gifts(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request, GiftTable, queries.gifts(), GiftFilter, "fund/gifts/gifts.html", filename="gifts"
    )


def _gift_or_404(code: str) -> Gift:
    found = queries.gift_by_code(code)
    if found is None:
        raise Http404
    return found


@power("gift.see")
def gift(request: HttpRequest, code: str) -> HttpResponse:
    found = _gift_or_404(code)
    returns = list(found.returns.select_related("entry"))
    facts = queries.facts_of(found)
    words = {
        "gift": found,
        "facts": facts,
        "stands": STATES[facts.state],
        "returns": returns,
        "may": acts_on(found),
        "corrections": found.corrections.select_related("entry"),
        "exceptions": found.exceptions.all(),
        "credited": found.credited.all(),
        "rate": rate_words(found.foreign.rate_millionths) if hasattr(found, "foreign") else "",
        "foreign_amount": Money(found.foreign.amount) if hasattr(found, "foreign") else None,
    }
    return render(request, "fund/gifts/gift.html", words)


@power("gift.record")
def gift_new(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        GiftForm(**posted(request), initial=request.GET.dict()),
        lambda cleaned: _record(person_of(request), cleaned),
        template="fund/gifts/gift_new.html",
        then=lambda made: reverse("gifts:gift", args=[made.code]),
        done=lambda made: f"{made.code}, {made.amount.dollars}, is in the books.",
    )


@transaction.atomic
def _record(by: Person, told: dict[str, Any]) -> Gift:
    named = told["supporter"]
    supporter = told["found"] or (add_supporter(by=by, name=named) if named else None)
    goods, check = told["kind"] == GOODS, told["kind"] == CHECK
    account = told["goods_account"] if goods else SUPPLIES
    part = None
    if goods and account == SHELF:
        part = GivenPart(told["item"], told["unit"], told["quantity"])
    gift = record_gift(
        by=by,
        kind=told["kind"],
        received_on=told["received_on"],
        amount=told["amount"],
        supporter=supporter,
        purpose=told["purpose"].code,
        check_number=told["check_number"] if check else "",
        goods_account=account,
        part=part,
        note=told["note"],
        nature=told["nature"],
        terms=told["terms"] if told["nature"] != GIFT else "",
        arrived_on=told["arrived_on"] if check else None,
        payable_to=told["payable_to"] if check else None,
        endorsed=told["endorsed"],
        held_by=told["held_by"] if told["kind"] == VIA_CREW else None,
        kept_fee=told["kept_fee"] or Money.zero,
        benefit=told["benefit"],
        cost_object=told["repair"],
        credited=told["credited"],
    )
    if told["copy"]:
        store(by=by, upload=told["copy"], subject=gift.code, power="gift.see")
    return gift


@power("gift.record")
def gift_refund(request: HttpRequest, code: str) -> HttpResponse:
    found = _gift_or_404(code)
    return form_page(
        request,
        RefundForm(**posted(request)),
        lambda cleaned: record_refund(by=person_of(request), gift=found, **cleaned),
        template="fund/gifts/refund.html",
        then=lambda _: reverse("gifts:gift", args=[code]),
        done=lambda back: f"{back.amount.dollars} of {code} went back.",
        context={"gift": found},
    )


@power("gift.bank")
def check_returned(request: HttpRequest, code: str) -> HttpResponse:
    found = _gift_or_404(code)

    def act(told: dict[str, Any]) -> Any:
        fee = told.pop("bank_fee") or Money.zero
        return return_check(by=person_of(request), gift=found, bank_fee=fee, **told)

    return form_page(
        request,
        ReturnedCheckForm(**posted(request)),
        act,
        template="fund/gifts/check_returned.html",
        then=lambda _: reverse("gifts:gift", args=[code]),
        done=lambda back: f"The check over {back.amount.dollars} is booked as returned.",
        context={"gift": found},
    )
