"""Pages for the tax authority's questions: the file on each repair, and the related-party list."""

import tempfile
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from jobs.eligibility.actions_tables import load_guidelines
from jobs.eligibility.forms_second import TableFileForm
from jobs.eligibility.queries_file import aid_file, repairs_given
from jobs.eligibility.queries_ties import related_parties
from jobs.eligibility.tables_file import AidExportTable, AidFileTable, RelatedTable
from jobs.eligibility.ties import refuse_reading
from jobs.repairs.models import RepairOrder


@power("household.papers")
def files(request: HttpRequest) -> HttpResponseBase:
    rows = repairs_given()
    context = {"incomplete": sum(bool(row.missing) for row in rows)}
    shape = AidExportTable if request.GET.get("format") else AidFileTable
    return book_list(
        request, shape, rows, template="jobs/eligibility/files.html", context=context, filename="help-given"
    )


@power("household.papers")
def file(request: HttpRequest, number: str) -> HttpResponse:
    repair = get_object_or_404(RepairOrder.objects.select_related("household"), number=number)
    refuse_reading(person_of(request), repair.household)
    return render(request, "jobs/eligibility/file.html", {"repair": repair, "file": aid_file(repair)})


@power("books.see")
def related(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        RelatedTable,
        related_parties(),
        template="jobs/eligibility/related.html",
        filename="related-parties",
    )


@power("rules.change")
def load_tables(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        TableFileForm(**posted(request)),
        lambda cleaned: (_load(request, cleaned["file"]),),
        template="jobs/eligibility/load_tables.html",
        then=lambda _: reverse("eligibility:tables"),
        done=lambda made: f"{made[0]} income tables are new." if made[0] else "All of them were here before.",
    )


def _load(request: HttpRequest, upload: object) -> int:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "tables.csv"
        place.write_bytes(upload.read(1_000_000))  # type: ignore[attr-defined]
        return load_guidelines(by=person_of(request), csv_file=place)
