"""Layouts of banks' CSV files."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.bank.actions_layouts import save_layout
from fund.bank.forms import LayoutForm
from fund.bank.models import StatementLayout
from fund.bank.tables import LayoutTable
from fund.pages import form_page, person_of, posted
from fund.tables import book_list


@power("bank.reconcile")
def layouts(request: HttpRequest) -> HttpResponseBase:
    rows = StatementLayout.objects.all()
    return book_list(
        request, LayoutTable, rows, template="fund/bank/layouts.html", filename="statement-layouts"
    )


@power("bank.reconcile")
def layout_new(request: HttpRequest) -> HttpResponse:
    return _page(request, LayoutForm(**posted(request)), None)


@power("bank.reconcile")
def layout(request: HttpRequest, name: str) -> HttpResponse:
    found = get_object_or_404(StatementLayout, name=name)
    return _page(request, LayoutForm(**posted(request), initial=LayoutForm.initial_of(found)), found)


def _page(request: HttpRequest, form: LayoutForm, found: StatementLayout | None) -> HttpResponse:
    return form_page(
        request,
        form,
        lambda _: save_layout(by=person_of(request), spec=form.spec()),
        template="fund/bank/layout_form.html",
        then=lambda _: reverse("bank:layouts"),
        done=lambda saved: f"Layout {saved.name} is saved.",
        context={"layout": found},
    )
