"""The page that asks once why a repair took longer than the book gives."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from jobs.hours.actions_book import say_why
from jobs.hours.forms_book import WhyForm
from jobs.hours.queries_book import to_explain
from jobs.repairs.pages import repair_or_404


@power("repair.write")
def why(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    passed = to_explain(found)
    if passed is None and request.method != "POST":
        return redirect("cost:repair", number)
    return form_page(
        request,
        WhyForm(**posted(request)),
        lambda data: say_why(by=person_of(request), repair=found, **data),
        template="jobs/hours/why.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: f"Kept on {number}: {row.told}.",
        context={"repair": found, "passed": passed},
    )
