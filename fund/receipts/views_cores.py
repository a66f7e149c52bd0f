from typing import Any

from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.confirm import confirmed_form
from fund.money import total
from fund.pages import form_page, person_of, posted
from fund.receipts import queries
from fund.receipts.actions_cores import core_paid_late, put_in_box, return_core, return_core_of
from fund.receipts.filters import CoreFilter
from fund.receipts.forms_returns import BoxForm, LatePaidForm
from fund.receipts.forms_shelf import HandedOverForm, ReturnForm
from fund.receipts.models import CoreReturn
from fund.receipts.tables import CoreTable, sum_words
from fund.receipts.telling_shelf import what_handing_over_does, what_returning_does
from fund.tables import book_list


@power("receipt.see")
def cores(request: HttpRequest) -> HttpResponseBase:
    rows = queries.cores()
    shown = CoreFilter(request.GET, queryset=rows).qs.order_by()
    together = shown.aggregate(sum=Sum("amount"))["sum"]
    context = {"together": sum_words(together, shown.count(), "core", "cores")}
    return book_list(request, CoreTable, rows, CoreFilter, "fund/shelf/cores.html", context, filename="cores")


@power("receipt.see")
def run(request: HttpRequest) -> HttpResponse:
    """The list to take along: open cores by store, the most urgent store first."""
    trips = queries.return_run()
    return render(
        request, "fund/shelf/run.html", {"trips": trips, "together": total(trip.amount for trip in trips)}
    )


@power("receipt.see")
def core(request: HttpRequest, code: str) -> HttpResponse:
    return render(request, "fund/shelf/core.html", {"core": get_object_or_404(queries.cores(), code=code)})


@power("core.return")
def bring_back(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.cores(), code=code)
    if hasattr(found, "returned"):
        return redirect("shelf:core", code)
    return confirmed_form(
        request,
        ReturnForm(core=found, initial={"on": clock.today(), "kind": "full"}, **posted(request)),
        lambda cleaned: return_core(by=person_of(request), core=found, **cleaned),
        ask=lambda cleaned: what_returning_does(found, cleaned),
        template="fund/shelf/return.html",
        then=lambda _: reverse("shelf:core", args=[code]),
        done=lambda ended: f"{code} has ended; {ended.amount_back} came back.",
        context={"core": found},
    )


@power("core.return")
def handed_over(request: HttpRequest) -> HttpResponse:
    """A core that a counter took, found by what it is called instead of by its code."""

    def end(cleaned: dict[str, Any]) -> CoreReturn:
        cleaned.pop("part")
        return return_core_of(by=person_of(request), **cleaned)

    form = HandedOverForm(**posted(request))
    return confirmed_form(
        request,
        form,
        end,
        ask=lambda cleaned: what_handing_over_does(form.core, cleaned),
        template="fund/shelf/handed_over.html",
        then=lambda ended: reverse("shelf:core", args=[ended.core.code]),
        done=lambda ended: f"{ended.core.code} has ended; {ended.amount_back} came back. {ended.note}.",
        context={"nothing": not queries.cores_out()},
    )


@power("core.return")
def box(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.cores(), code=code)
    return form_page(
        request,
        BoxForm(initial={"box": found.box}, **posted(request)),
        lambda cleaned: put_in_box(by=person_of(request), core=found, **cleaned),
        template="fund/shelf/box.html",
        then=lambda _: reverse("shelf:core", args=[code]),
        done=lambda kept: f"{code} lies in {kept.box}.",
        context={"core": found},
    )


@power("core.return")
def paid_late(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.cores(), code=code)
    return confirmed_form(
        request,
        LatePaidForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: core_paid_late(by=person_of(request), core=found, **cleaned),
        ask=lambda cleaned: (
            f"{cleaned['amount']} came for {code} after all?",
            ["What was lost is that much less. It is no income, and the cost of the part does not move."],
            "Book it",
        ),
        template="fund/shelf/late.html",
        then=lambda _: reverse("shelf:core", args=[code]),
        done=lambda row: f"{row.amount} of {code} came after all.",
        context={"core": found},
    )
