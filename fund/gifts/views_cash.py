"""Cash counted by two, and deposits."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.second import with_second
from fund.gifts import queries
from fund.gifts.act import Page, act_page
from fund.gifts.actions_cash import bank_deposit, count_cash, void_count
from fund.gifts.forms_cash import CountForm, DepositForm
from fund.gifts.forms_open import ReasonForm
from fund.gifts.models import CashCount, Deposit
from fund.gifts.queries_counts import pairs
from fund.gifts.sheet import count_pdf
from fund.gifts.tables import CountFilter, CountTable
from fund.money import Money
from fund.pages import form_page, person_of, posted
from fund.rulebook.queries import rule
from fund.tables import book_list


@power("gift.count")
def counts(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        CountTable,
        queries.counts(),
        CountFilter,
        "fund/gifts/counts.html",
        {"pairs": pairs()},
        filename="counts",
    )


@power("gift.count")
def count_new(request: HttpRequest) -> HttpResponse:
    form = CountForm(**posted(request))

    def act(told: dict[str, Any]) -> CashCount:
        second, _ = with_second(request, told, power="gift.count")
        return count_cash(
            by=person_of(request),
            second=second,
            on=told["on"],
            place=told["place"],
            denominations=form.denominations(),
            receipts=told["receipts"],
            note=told["note"],
            spent=form.spent(),
        )

    return form_page(
        request,
        form,
        act,
        template="fund/gifts/count_new.html",
        then=lambda made: reverse("gifts:count", args=[made.code]),
        done=lambda made: (
            f"{made.code}: {made.total.dollars} counted by {made.counted_by} and {made.second_by}."
        ),
    )


@power("gift.count")
def count(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.counts().select_related("entry"), code=code)
    pieces = [(Money(int(face)), many, Money(int(face) * many)) for face, many in found.denominations.items()]
    return render(
        request,
        "fund/gifts/count.html",
        {
            "count": found,
            "pieces": pieces,
            "apart": found.total + found.spent - found.receipts,
            "exceptions": found.exceptions.all(),
        },
    )


@power("gift.count")
def count_sheet(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.counts(), code=code)
    answer = HttpResponse(count_pdf(found, str(rule("fund_name"))), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="count-{found.code}.pdf"'
    return answer


@power("gift.bank")
def count_void(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.counts(), code=code)
    back = reverse("gifts:count", args=[code])

    def ask(told: dict[str, Any]) -> tuple[str, list[str], str]:
        lines = [
            "Its entry is taken back by an entry of its own.",
            "The sheet keeps its number and its signatures.",
        ]
        return f"Void count {code} of {found.total.dollars}?", lines, "It is void"

    return act_page(
        request,
        ReasonForm(**posted(request)),
        lambda told: void_count(by=person_of(request), count=found, reason=told["reason"]),
        Page(f"Void count {code}", "Go on", back, f"Count {code}", f"{found.total.dollars}, {found.place}"),
        done=lambda count: f"{count.code} is void.",
        ask=ask,
    )


@power("gift.bank")
def deposit_new(request: HttpRequest) -> HttpResponse:
    waiting = queries.unbanked(clock.today())
    form = DepositForm(waiting, **posted(request))

    def act(told: dict[str, Any]) -> Deposit:
        picked = form.picked()
        return bank_deposit(
            by=person_of(request),
            on=told["on"],
            counts=[one.count for one in picked if one.count],
            gifts=[one.gift for one in picked if one.gift],
            note=told["note"],
        )

    return form_page(
        request,
        form,
        act,
        template="fund/gifts/deposit_new.html",
        then=lambda made: reverse("gifts:deposit", args=[made.code]),
        done=lambda made: f"{made.code}: {made.total.dollars} is banked.",
        context={"waiting": waiting},
    )


@power("gift.see")
def deposit(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Deposit.objects.select_related("entry"), code=code)
    return render(
        request,
        "fund/gifts/deposit.html",
        {"deposit": found, "lines": list(queries.deposit_lines(found))},
    )
