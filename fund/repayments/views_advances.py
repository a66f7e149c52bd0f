from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.access.models import Person
from fund.confirm import confirmed_form
from fund.money import total
from fund.pages import attempt, form_page, person_of, posted
from fund.repayments import queries_held
from fund.repayments.actions_advances import cancel_advance, prepare_advance, release_advance
from fund.repayments.forms import AdvanceForm, ReleaseForm
from fund.repayments.hands import may_release
from fund.repayments.models import Advance
from fund.repayments.tables import AdvanceTable, OpenAdvanceTable
from fund.rulebook.queries import rule
from fund.tables import book_list


@power("receipt.see")
def held(request: HttpRequest) -> HttpResponseBase:
    rows = queries_held.open_advances()
    context = {
        "together": total(row.left for row in rows),
        "days": rule("advance_days"),
        "waiting": list(queries_held.advances().filter(state="prepared")),
    }
    return book_list(
        request,
        OpenAdvanceTable,
        rows,
        None,
        "fund/repayments/advances.html",
        context,
        filename="advances-held",
    )


@power("receipt.see")
def all_advances(request: HttpRequest) -> HttpResponseBase:
    rows = queries_held.advances()
    return book_list(
        request, AdvanceTable, rows, None, "fund/repayments/all_advances.html", filename="advances"
    )


def _advance(code: str) -> Advance:
    return get_object_or_404(queries_held.advances(), code=code)


@power("receipt.see")
def advance(request: HttpRequest, code: str) -> HttpResponse:
    found, me = _advance(code), person_of(request)
    left = next((one for one in queries_held.open_advances(found.person) if one.advance == found), None)
    free = found.state == "prepared" and may_release(me, found.person, found.prepared_by)
    return render(
        request, "fund/repayments/advance.html", {"advance": found, "left": left, "may_release": free}
    )


@power("repay.prepare", "repay.prepare_for_treasurer")
def prepare(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Person, username=code)
    return form_page(
        request,
        AdvanceForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: prepare_advance(by=person_of(request), person=found, **cleaned),
        template="fund/repayments/advance_new.html",
        then=lambda made: reverse("repayments:advance", args=[made.code]),
        done=lambda made: f"{made.code} over {made.amount} waits for its release by another person.",
        context={"subject": found},
    )


@power("repay.release", "repay.release_for_owner")
def release(request: HttpRequest, code: str) -> HttpResponse:
    found = _advance(code)
    return confirmed_form(
        request,
        ReleaseForm(initial={"on": min(found.on, clock.today())}, **posted(request)),
        lambda cleaned: release_advance(by=person_of(request), advance=found, **cleaned),
        ask=lambda cleaned: (
            f"Give {found.amount} in advance to {found.person.label}?",
            [f"To buy: {found.reason}.", f"The money leaves the bank account on {cleaned['on']}."],
            "Release it",
        ),
        template="fund/repayments/advance_release.html",
        then=lambda given: reverse("repayments:advance", args=[given.code]),
        done=lambda given: f"{given.amount} given to {given.person.label}.",
        context={"advance": found},
    )


@power("repay.prepare")
@require_POST
def cancel(request: HttpRequest, code: str) -> HttpResponse:
    found = _advance(code)
    if attempt(request, None, lambda: cancel_advance(by=person_of(request), advance=found)):
        messages.success(request, f"{found.code} is dropped.")
    return redirect("repayments:advance", found.code)
