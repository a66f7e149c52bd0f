from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.second import with_second
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from jobs.repairs import actions_logs, queries_logs
from jobs.repairs.forms_logs import ConverterEndForm, ConverterForm, WasteForm
from jobs.repairs.models_logs import Converter, ConverterEnd
from jobs.repairs.rules_logs import CONVERTER_LAW, WASTE_LAW
from jobs.repairs.tables_logs import ConverterFilter, ConverterTable, WasteFilter, WasteTable

ADD = "jobs/repairs/log_add.html"


@power("repair.see")
def converters(request: HttpRequest) -> HttpResponseBase:
    rows, context = queries_logs.converters(), {"law": CONVERTER_LAW}
    page = "jobs/repairs/converters.html"
    return book_list(request, ConverterTable, rows, ConverterFilter, page, context, filename="converters")


@power("repair.write")
def add_converter(request: HttpRequest) -> HttpResponse:
    by = person_of(request)

    def act(told: dict[str, Any]) -> Converter:
        second, rest = with_second(request, told, power="repair.write")
        return actions_logs.log_converter(by=by, second=second, **rest)

    return form_page(
        request,
        ConverterForm(initial={"on": clock.today()}, **posted(request)),
        act,
        template=ADD,
        then=lambda row: reverse("logs:converters"),
        done=lambda row: f"The converter {row.marking} is in the log.",
        context={"heading": "A converter came off", "law": CONVERTER_LAW, "back": reverse("logs:converters")},
    )


@power("repair.see")
def converter(request: HttpRequest, pk: int) -> HttpResponse:
    """One converter; where it went is written here."""
    by = person_of(request)
    row = get_object_or_404(queries_logs.converters(), pk=pk)

    def act(told: dict[str, Any]) -> ConverterEnd:
        second, rest = with_second(request, told, power="repair.write")
        return actions_logs.log_converter_end(by=by, second=second, converter=row, **rest)

    return form_page(
        request,
        ConverterEndForm(initial={"on": clock.today()}, **posted(request)),
        act,
        template="jobs/repairs/converter.html",
        then=lambda end: reverse("logs:converters"),
        done=lambda end: f"{end.get_went_display()}: written down.",
        context={"row": row, "end": getattr(row, "end", None), "law": CONVERTER_LAW},
    )


@power("repair.see")
def waste(request: HttpRequest) -> HttpResponseBase:
    context = {"law": WASTE_LAW, "standing": queries_logs.standing_waste()}
    page = "jobs/repairs/waste.html"
    return book_list(request, WasteTable, queries_logs.waste(), WasteFilter, page, context, filename="waste")


@power("repair.write")
def add_waste(request: HttpRequest) -> HttpResponse:
    by = person_of(request)
    return form_page(
        request,
        WasteForm(initial={"on": clock.today()}, **posted(request)),
        lambda data: actions_logs.log_waste(by=by, **data),
        template=ADD,
        then=lambda row: reverse("logs:waste"),
        done=lambda row: f"Logged: {row.count} {row.kind}.",
        context={"heading": "Into the waste log", "law": WASTE_LAW, "back": reverse("logs:waste")},
    )
