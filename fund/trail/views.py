from django.http import HttpRequest
from django.http.response import HttpResponseBase

from fund.access.guards import power
from fund.tables import book_list
from fund.trail import queries
from fund.trail.tables import TrailFilter, TrailTable


@power("trail.see")
def lines(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request, TrailTable, queries.lines(), TrailFilter, "fund/trail/lines.html", filename="trail"
    )
