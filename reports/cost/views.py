from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fund.access.guards import power
from reports.cost.queries import cost_of_repair


@power("repair.see")
def repair(request: HttpRequest, number: str) -> HttpResponse:
    found = cost_of_repair(number)
    return render(request, "reports/cost/repair.html", {"found": found, "repair": found.repair})
