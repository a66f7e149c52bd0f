from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.second import with_second
from fund.confirm import confirmed_form
from fund.pages import form_page, person_of, posted
from fund.repayments.actions_petty import count_petty_cash, set_petty_cash, top_up_petty_cash
from fund.repayments.forms import DayForm, FloatForm, PettyCountForm
from fund.repayments.models import PettyCashCount, PettyCashFloat
from fund.repayments.queries import petty_cash


@power("receipt.see")
def petty(request: HttpRequest) -> HttpResponse:
    return render(request, "fund/repayments/petty.html", {"box": petty_cash()})


@power("petty.keep")
def set_float(request: HttpRequest) -> HttpResponse:
    def act(told: dict[str, Any]) -> PettyCashFloat:
        second, rest = with_second(request, told, power="petty.count")
        return set_petty_cash(by=person_of(request), seen_by=second, **rest)

    box = petty_cash()
    return form_page(
        request,
        FloatForm(initial={"on": clock.today(), "amount": box.float or None}, **posted(request)),
        act,
        template="fund/repayments/petty_set.html",
        then=lambda _: reverse("repayments:petty"),
        done=lambda row: f"Petty cash is kept at {row.amount}.",
        context={"box": box},
    )


@power("petty.keep")
def top_up(request: HttpRequest) -> HttpResponse:
    box = petty_cash()
    return confirmed_form(
        request,
        DayForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: top_up_petty_cash(by=person_of(request), **cleaned),
        ask=lambda cleaned: (
            f"Top petty cash up by {box.top_up}?",
            [f"The books hold {box.held}; {box.top_up} moves from the bank account into the box."],
            "Top it up",
        ),
        template="fund/repayments/petty_top_up.html",
        then=lambda _: reverse("repayments:petty"),
        done=lambda _: "Petty cash is at its whole sum again.",
        context={"box": box},
    )


@power("petty.count")
def count(request: HttpRequest) -> HttpResponse:
    def act(told: dict[str, Any]) -> PettyCashCount:
        second, rest = with_second(request, told, power="petty.count")
        return count_petty_cash(by=person_of(request), seen_by=second, **rest)

    return form_page(
        request,
        PettyCountForm(initial={"on": clock.today()}, **posted(request)),
        act,
        template="fund/repayments/petty_count.html",
        then=lambda _: reverse("repayments:petty"),
        done=_counted,
        context={"box": petty_cash()},
    )


def _counted(row: PettyCashCount) -> str:
    change = row.counted - row.expected
    side = "over" if change.minor > 0 else "short"
    booked = f"{abs(change)} {side} is booked." if change else "The books say the same; nothing is booked."
    return f"{row.counted} counted by {row.counted_by.label} and {row.seen_by.label}. {booked}"
