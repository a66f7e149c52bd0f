from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fund.access.context import crew
from fund.access.guards import power
from fund.codes import address_of
from fund.commitments.queries import position
from fund.commitments.queries_idle import promised
from fund.pages import attempt, person_of
from fund.repayments.queries import owed_to
from reports.position.actions import verify_books
from reports.position.models import Verification
from reports.position.patterns import patterns_context
from reports.position.waiting import waiting_for_person

PROMISES_SHOWN = 12  # the longest unused; the page of all is one link away


@power("today.see")
def today(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    unused = promised()
    context = {
        "waiting": waiting_for_person(person, crew(request)["can"]),
        "position": position(),
        "promises": unused[:PROMISES_SHOWN],
        "more_promises": len(unused) - PROMISES_SHOWN,
        "owed": owed_to(person),
    }
    return render(request, "reports/position/today.html", context)


@power("books.see")
def verify(request: HttpRequest) -> HttpResponse:
    """By POST a new proof, since it goes through every line ever written; else what the last one found or does."""
    if request.method == "POST":
        attempt(request, None, lambda: verify_books(by=person_of(request)))
        return redirect("position:verify")
    part = request.headers.get("HX-Request") == "true"
    return render(
        request,
        f"reports/position/{'verify_part' if part else 'verify'}.html",
        {"job": Verification.objects.select_related("by").first()},
    )


@power("today.see")
def find(request: HttpRequest) -> HttpResponse:
    """Straight to what a code names. The page it leads to decides who may see it."""
    typed = request.GET.get("code", "")[:40]
    address = address_of(typed)
    if address:
        return redirect(address)
    return render(request, "reports/position/find.html", {"typed": typed}, status=404 if typed else 200)


@power("today.see")
def patterns(request: HttpRequest) -> HttpResponse:
    return render(request, "reports/position/patterns.html", patterns_context())
