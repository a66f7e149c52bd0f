from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.repairs.pages import repair_or_404
from jobs.vehicles import actions_desk, queries_desk
from jobs.vehicles.forms_desk import NoticeForm, RecallForm
from jobs.vehicles.rules_desk import LOCAL_LAW, days_standing
from jobs.vehicles.tables_desk import UnfetchedFilter, UnfetchedTable


@power("repair.write")
def recalls(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    return form_page(
        request,
        RecallForm(initial={"on": clock.today()}, **posted(request)),
        lambda data: actions_desk.look_up_recalls(by=person_of(request), repair=repair, **data),
        template="jobs/vehicles/recalls.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: f"{row.get_found_display()}: written down.",
        context={"repair": repair, "lookups": repair.recall_lookups.select_related("by")},
    )


@power("repair.write")
@require_POST
def dealer(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    sent = attempt(request, None, lambda: actions_desk.send_to_dealer(by=person_of(request), repair=repair))
    if sent:
        messages.success(request, f"{number} goes to a dealer of the maker and is {sent.state}.")
    return redirect("repairs:repair", number)


@power("repair.write")
def notices(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    since = queries_desk.standing_since(repair)
    context: dict[str, Any] = {
        "repair": repair,
        "notices": repair.owner_notices.select_related("by"),
        "since": since,
        "days": days_standing(since, clock.today()),
        "law": LOCAL_LAW,
    }
    return form_page(
        request,
        NoticeForm(initial={"on": clock.today()}, **posted(request)),
        lambda data: actions_desk.write_to_owner(by=person_of(request), repair=repair, **data),
        template="jobs/vehicles/notices.html",
        then=lambda row: reverse("checkin:notices", args=[number]),
        done=lambda row: f"Logged: {row.get_way_display().lower()} of {row.on}.",
        context=context,
    )


@power("repair.see")
def all_unfetched(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        UnfetchedTable,
        queries_desk.unfetched(),
        UnfetchedFilter,
        "jobs/vehicles/unfetched.html",
        {"law": LOCAL_LAW},
        filename="unfetched",
    )
