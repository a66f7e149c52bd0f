"""Pages of comebacks: the list with its rate, opening one, whose fault it is."""

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.handback import actions_comeback
from jobs.handback.forms_proof import ComebackForm, FaultForm
from jobs.handback.models_proof import Comeback
from jobs.handback.queries import did_the_work, last_road_test
from jobs.handback.queries_proof import comeback_rate, comebacks
from jobs.handback.tables import ComebackFilter, ComebackTable
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404
from jobs.vehicles.queries_checkin import check_in_of, photos_of


@power("repair.see")
def all_comebacks(request: HttpRequest) -> HttpResponseBase:
    today = clock.today()
    rate = comeback_rate(today - timedelta(days=364), today)
    return book_list(
        request, ComebackTable, comebacks(), ComebackFilter, "jobs/handback/comebacks.html", {"rate": rate},
        filename="comebacks",
    )  # fmt: skip


@power("repair.write")
def open_new(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    return form_page(
        request,
        ComebackForm(initial={"on": clock.today(), "mechanic": found.mechanic}, **posted(request)),
        lambda data: actions_comeback.open_comeback(by=person_of(request), original=found, **data),
        template="jobs/handback/comeback_open.html",
        then=lambda row: reverse("handback:one-comeback", args=[row.repair.number]),
        done=lambda row: f"{row.repair.number} opened, linked to {number}. No new household is counted.",
        context={"repair": found, "earlier": comebacks().filter(original=found)},
    )


def _comeback(number: str) -> Comeback:
    row = comebacks().filter(repair__number=number).first()
    if row is None:
        raise Http404
    return row


@power("repair.see")
def comeback(request: HttpRequest, number: str) -> HttpResponse:
    """The two visits side by side: what was said, read and done then, and what stands there now."""
    row = _comeback(number)
    sides = [
        {
            "title": title,
            "order": order,
            "test": last_road_test(order),
            "door": check_in_of(order),
            "photos": photos_of(order).filter(at_check_in=True),
        }
        for title, order in (("First repair", _whole(row.original)), ("Comeback", _whole(row.repair)))
    ]
    own = person_of(request).pk in did_the_work(row.original)
    context = {"row": row, "repair": row.repair, "sides": sides, "own_work": own}
    return render(request, "jobs/handback/comeback.html", context)


def _whole(order: RepairOrder) -> RepairOrder:
    return repair_or_404(order.number)


@power("repair.write", "repair.approve")
def fault(request: HttpRequest, number: str) -> HttpResponse:
    row = _comeback(number)
    return form_page(
        request,
        FaultForm(**posted(request)),
        lambda data: actions_comeback.decide_fault(by=person_of(request), comeback=row, **data),
        template="jobs/handback/comeback_fault.html",
        then=lambda done: reverse("handback:one-comeback", args=[number]),
        done=lambda done: f"Kept: {done.get_fault_display()}.",
        context={"row": row, "repair": row.repair},
    )


@power("repair.write")
@require_POST
def begin(request: HttpRequest, number: str) -> HttpResponse:
    row = _comeback(number)
    attempt(request, None, lambda: actions_comeback.begin_comeback(by=person_of(request), comeback=row))
    return redirect("repairs:repair", number)
