from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.pages import attempt, form_page, person_of, posted
from fund.tables import book_list
from jobs.eligibility.actions import sight_with_copy
from jobs.eligibility.queries import assess_household, assess_told
from jobs.eligibility.ties import refuse_reading
from jobs.eligibility.worked_out import worked_out
from jobs.households.actions import change_contact, replace_incomes, replace_members
from jobs.households.forms import ContactForm, NoIncomeForm, PeopleForm, SightForm
from jobs.households.models import Household
from jobs.households.queries import households
from jobs.households.queries_keep import dues_of, standing_hold
from jobs.households.queries_read import INCOMES, PEOPLE, mark_to_carry
from jobs.households.rows import Rows, income_rows, incomes_of, member_rows, members_of
from jobs.households.rules import people_words
from jobs.households.tables import HouseholdFilter, HouseholdTable


@power("household.papers")
def households_list(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        HouseholdTable,
        households(),
        HouseholdFilter,
        "jobs/households/list.html",
        filename="households",
    )


def _open_to(request: HttpRequest, code: str) -> Household:
    """The household, for someone without a tie to it."""
    found = get_object_or_404(Household, code=code)
    refuse_reading(person_of(request), found)
    return found


@power("household.papers")
def household(request: HttpRequest, code: str) -> HttpResponse:
    found = _open_to(request, code)
    context = {
        "household": found,
        "members": found.members.all(),
        "incomes": found.incomes.select_related("member"),
        "sightings": found.sightings.select_related("sighted_by", "vehicle").prefetch_related("copies"),
        "merged": found.merged.order_by("code"),
        "put_right": found.put_right.select_related("by"),
        "hold": standing_hold(found),
        "dues": dues_of(found, clock.today()),
        "applications": found.applications.order_by("-pk").prefetch_related("decisions__decided_by"),
        **worked_out(lambda: assess_household(found)),
    }
    return render(request, "jobs/households/household.html", context)


@power("household.screen")
def contact(request: HttpRequest, code: str) -> HttpResponse:
    found = _open_to(request, code)
    return form_page(
        request,
        ContactForm.of(found, **posted(request)),
        lambda cleaned: change_contact(by=person_of(request), household=found, **cleaned),
        template="jobs/households/contact.html",
        then=lambda _: reverse("households:household", args=[code]),
        done=lambda _: "The contact is changed.",
        context={"household": found},
    )


@power("household.screen")
def people(request: HttpRequest, code: str) -> HttpResponse:
    found = _open_to(request, code)
    rows = member_rows(request, found)
    form = PeopleForm(request.POST if rows.is_bound else None)
    if rows.is_bound and rows.is_valid() and form.is_valid():
        given: dict[str, Any] = {"members": members_of(rows), "read": request.POST.get("read")}
        done = attempt(
            request, form, lambda: replace_members(by=person_of(request), household=found, **given)
        )
        if done:
            messages.success(request, f"Household {found.alias} is {people_words(len(done))}.")
            return redirect("households:household", code)
    read = mark_to_carry(PEOPLE, found, request.POST.get("read"), told=bool(form.non_field_errors()))
    context = {"household": found, "rows": rows, "form": form, "read": read}
    return render(request, "jobs/households/people.html", context, status=422 if rows.is_bound else 200)


@power("household.screen")
def incomes(request: HttpRequest, code: str) -> HttpResponse:
    """All incomes on one page, with the worksheet of what is typed: at each change with htmx, else by a button."""
    found = _open_to(request, code)
    rows = income_rows(request, found)
    form = NoIncomeForm(request.POST if rows.is_bound else None, initial=_no_income(request, found))
    fit = rows.is_bound and rows.is_valid() and form.is_valid()
    if fit and "preview" not in request.POST:
        if attempt(request, form, lambda: _save_incomes(request, found, rows, form)):
            messages.success(request, f"The incomes of household {found.alias} are entered.")
            return redirect("households:household", code)
        fit = False
    read = mark_to_carry(INCOMES, found, request.POST.get("read"), told=bool(form.non_field_errors()))
    context: dict[str, Any] = {"household": found, "rows": rows, "form": form, "read": read}
    if fit:
        context |= worked_out(lambda: assess_told(found, incomes_of(rows)))
    elif not rows.is_bound:
        context |= worked_out(lambda: assess_household(found))
    live = "preview" in request.POST and "HX-Request" in request.headers
    template = "jobs/households/incomes_worksheet.html" if live else "jobs/households/incomes.html"
    return render(request, template, context, status=422 if rows.is_bound and not fit and not live else 200)


def _no_income(request: HttpRequest, found: Household) -> dict[str, str]:
    return {"no_income_words": request.POST.get("no_income_words", found.no_income_words)}


def _save_incomes(request: HttpRequest, found: Household, rows: Rows, form: NoIncomeForm) -> Household:
    replace_incomes(
        by=person_of(request),
        household=found,
        incomes=incomes_of(rows),
        no_income_words=form.cleaned_data["no_income_words"],
        read=request.POST.get("read"),
    )
    return found


@power("household.screen")
def papers(request: HttpRequest, code: str) -> HttpResponse:
    found = _open_to(request, code)
    return form_page(
        request,
        SightForm.for_today(clock.today(), found, **posted(request)),
        lambda cleaned: sight_with_copy(by=person_of(request), household=found, **cleaned),
        template="jobs/households/papers.html",
        then=lambda _: reverse("households:household", args=[code]),
        done=lambda paper: f"{paper.get_kind_display()} of {paper.document_date} is entered as seen.",
        context={"household": found},
    )
