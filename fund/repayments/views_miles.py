from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.repayments import queries_held
from fund.repayments.actions_mileage import add_mileage_rate, enter_mileage, take_back_mileage
from fund.repayments.forms import MileageForm, RateForm, ReasonForm
from fund.repayments.models import Mileage
from fund.repayments.tables import MileageRateTable, MileageTable
from fund.tables import book_list


@power("receipt.see")
def miles(request: HttpRequest) -> HttpResponseBase:
    rows = queries_held.mileage()
    return book_list(request, MileageTable, rows, None, "fund/repayments/miles.html", filename="miles")


@power("receipt.enter")
def enter(request: HttpRequest) -> HttpResponse:
    me = person_of(request)
    return form_page(
        request,
        MileageForm(initial={"person": me.pk, "on": clock.today()}, **posted(request)),
        lambda cleaned: enter_mileage(by=me, **cleaned),
        template="fund/repayments/miles_new.html",
        then=lambda row: reverse("repayments:mine" if row.person_id == me.pk else "repayments:miles"),
        done=lambda row: f"{row.code}: {row.miles} miles come to {row.amount}.",
        context={"rate": queries_held.mileage_rates().first()},
    )


@power("receipt.enter")
def take_back(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Mileage, code=code)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: take_back_mileage(by=person_of(request), mileage=found, **cleaned),
        template="fund/repayments/miles_take_back.html",
        then=lambda _: reverse("repayments:miles"),
        done=lambda row: f"{row.code} is taken back.",
        context={"mileage": found},
    )


@power("receipt.see")
def rates(request: HttpRequest) -> HttpResponseBase:
    rows = queries_held.mileage_rates()
    return book_list(
        request, MileageRateTable, rows, None, "fund/repayments/rates.html", filename="mileage-rates"
    )


@power("rules.change")
def add_rate(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        RateForm(initial={"valid_from": clock.today()}, **posted(request)),
        lambda cleaned: add_mileage_rate(by=person_of(request), **cleaned),
        template="fund/repayments/rate_new.html",
        then=lambda _: reverse("repayments:mileage-rates"),
        done=lambda row: f"The rate from {row.valid_from} is written down.",
    )
