"""Pages about paid work."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.models import Person
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from jobs.hours import actions_pay
from jobs.hours.forms_pay import BillForm, PayForm
from jobs.hours.models_pay import PayDecision
from jobs.hours.tables import PayTable


@power("rules.change", "books.see")
def paid(request: HttpRequest) -> HttpResponseBase:
    rows = PayDecision.objects.select_related("person", "by").order_by("-id")
    return book_list(request, PayTable, rows, None, "jobs/hours/paid.html", filename="paid-work")


@power("rules.change")
def decide_pay(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        PayForm(initial={"from_on": clock.today()}, **posted(request)),
        lambda data: _decide(person_of(request), data),
        template="jobs/hours/decide_pay.html",
        then=lambda _: reverse("hours:paid"),
        done=lambda row: f"{row.person.label}: {row.get_answer_display().lower()}.",
    )


def _decide(by: Person, data: dict[str, Any]) -> PayDecision:
    if data["answer"] == "refused":
        return actions_pay.refuse_pay(by=by, person=data["person"], reason=data["reason"])
    told = {name: data[name] for name in ("person", "from_on", "conflict", "tax_form_on", "reason")}
    return actions_pay.make_contractor(by=by, **told)


@power("receipt.enter")
def bill(request: HttpRequest) -> HttpResponse:
    start = {"on": clock.today(), "repair": request.GET.get("repair")}
    return form_page(
        request,
        BillForm(initial=start, **posted(request)),
        lambda data: actions_pay.bill_of_contractor(by=person_of(request), **data),
        template="jobs/hours/bill.html",
        then=lambda receipt: reverse("receipts:receipt", args=[receipt.code]),
        done=lambda receipt: f"{receipt.code} booked as outside work, to be paid as a bill.",
    )
