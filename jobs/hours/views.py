from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import may, power
from fund.access.models import Person
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.hours import actions, queries
from jobs.hours.forms import HoursForm, RateForm, TakeBackForm
from jobs.hours.models import HoursEntry, Rate
from jobs.hours.queries_book import just_passed
from jobs.hours.rules import Work
from jobs.hours.tables import HoursFilter, HoursTable, RateTable


@power("repair.see")
def all_hours(request: HttpRequest) -> HttpResponseBase:
    rows = queries.all_hours()
    found = HoursFilter(request.GET, queryset=rows, request=request)
    context = {"sums": queries.add_up(found.qs), "waiting": queries.waiting_for(person_of(request)).count()}
    return book_list(request, HoursTable, rows, HoursFilter, "jobs/hours/all.html", context, filename="hours")


@power("hours.enter")
def add(request: HttpRequest) -> HttpResponse:
    number = request.GET.get("repair", queries.in_the_bay_of(person_of(request)))
    last = queries.last_skill(person_of(request), on_a_repair=bool(number))
    start = {
        "repair": number,
        "person": person_of(request).username,
        "on": clock.today(),
        "skill": last or "mechanic",
        "work": Work.REPAIR.value,
        "each": "",
    }
    return form_page(
        request,
        HoursForm(initial=start, **posted(request)),
        lambda data: _enter(person_of(request), data),
        template="jobs/hours/add.html",
        then=lambda rows: _after(person_of(request), rows),
        done=lambda rows: " ".join(f"{row.hours} h for {row.person.label} entered." for row in rows),
    )


def _enter(by: Person, data: dict[str, Any]) -> list[HoursEntry]:
    people = [data.pop("person"), *data.pop("others")]
    return actions.share_hours(by=by, people=people, **data)


def _after(by: Person, rows: list[HoursEntry]) -> str:
    """Back to the repair; when these hours took it past its book, by way of the page that asks why."""
    repair = rows[0].repair
    if repair is None:
        return reverse("hours:all")
    asked = may(by, "repair.write") and just_passed(rows)
    return reverse("hours:why" if asked else "repairs:repair", args=[repair.number])


@power("hours.enter")
def to_confirm(request: HttpRequest) -> HttpResponse:
    return render(request, "jobs/hours/confirm.html", {"rows": queries.waiting_for(person_of(request))})


def _row(code: str) -> HoursEntry:
    row = queries.all_hours().filter(code=code).first()
    if row is None:
        raise Http404
    return row


@power("repair.see")
def row(request: HttpRequest, code: str) -> HttpResponse:
    found = _row(code)
    theirs = person_of(request).pk in (found.person_id, found.entered_by_id) or may(
        person_of(request), "repair.approve"
    )
    context = {
        "row": found,
        "may_take_back": theirs and may(person_of(request), "hours.enter") and not found.taken_back,
        "may_confirm": queries.waiting_for(person_of(request)).filter(pk=found.pk).exists(),
    }
    return render(request, "jobs/hours/row.html", context)


@power("hours.enter")
@require_POST
def confirm(request: HttpRequest, code: str) -> HttpResponse:
    found = _row(code)
    if attempt(request, None, lambda: actions.confirm_hours(by=person_of(request), hours=found)):
        messages.success(request, f"{found.hours} h on {found.on} confirmed.")
    return redirect("hours:to-confirm")


@power("hours.enter")
def take_back(request: HttpRequest, code: str) -> HttpResponse:
    found = _row(code)
    return form_page(
        request,
        TakeBackForm(**posted(request)),
        lambda data: actions.take_back_hours(by=person_of(request), hours=found, reason=data["reason"]),
        template="jobs/hours/take_back.html",
        then=lambda _: reverse("hours:all"),
        done=lambda opposite: (
            f"{found.code} is taken back by {opposite.code}. Enter the right hours if there are any."
        ),
        context={"row": found},
    )


@power("repair.see")
def rates(request: HttpRequest) -> HttpResponseBase:
    rows = Rate.objects.select_related("skill").order_by("skill__name", "-valid_from", "-id")
    return book_list(request, RateTable, rows, None, "jobs/hours/rates.html", filename="rates")


@power("rules.change")
def add_rate(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        RateForm(initial={"valid_from": clock.today()}, **posted(request)),
        lambda data: actions.add_rate(by=person_of(request), **data),
        template="jobs/hours/add_rate.html",
        then=lambda _: reverse("hours:rates"),
        done=lambda rate: f"{rate.skill.name} is {rate.amount.dollars} an hour from {rate.valid_from}.",
    )
