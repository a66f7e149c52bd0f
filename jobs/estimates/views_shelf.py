"""What the shelf holds of a line while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fund.access.guards import power
from jobs.estimates.queries_shelf import lots_by_line


@power("repair.write")
def there(request: HttpRequest) -> HttpResponse:
    """Answers with a part of a page: the text of one row, whatever the number of the row."""
    typed = next((name for name in request.GET if name.endswith("-text")), "")
    return render(
        request, "jobs/estimates/there.html", {"there": lots_by_line([request.GET.get(typed, "")])[0]}
    )
