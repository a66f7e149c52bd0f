import tempfile
from pathlib import Path

from django.http import FileResponse, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render

from fund import clock
from fund.access.guards import power
from fund.downloads import XLSX_TYPE
from fund.ledger.queries import last_closed_month
from fund.ledger.rules import month_of
from fund.pages import attempt, person_of, posted
from reports.workbook.actions import workbook
from reports.workbook.forms import WorkbookForm


@power("books.export")
def take_out(request: HttpRequest) -> HttpResponseBase:
    """The form, and for a POST the workbook as a file."""
    month = last_closed_month() or month_of(clock.today())
    form = WorkbookForm(initial={"start": month, "end": month}, **posted(request))
    if form.is_bound and form.is_valid():
        months = form.cleaned_data
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "books.xlsx"
            site = request.build_absolute_uri("/")
            written = attempt(
                request, form, lambda: workbook(by=person_of(request), path=path, site=site, **months)
            )
            if written:
                name = f"books-{months['start']}-{months['end']}.xlsx"
                # Opened before its folder goes; the response reads on and closes it.
                return FileResponse(
                    path.open("rb"), as_attachment=True, filename=name, content_type=XLSX_TYPE
                )
    return render(
        request, "reports/workbook/take_out.html", {"form": form}, status=422 if form.errors else 200
    )
