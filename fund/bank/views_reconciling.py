"""A month's reconciliation, its review, and what platforms say they hold."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.bank.actions_platforms import import_platform_balance, set_platform_balance
from fund.bank.actions_reconcile import reconcile, review
from fund.bank.forms import PlatformBalanceForm, PrepareForm, ReviewForm
from fund.bank.models import PlatformBalance
from fund.bank.queries_open import open_lines
from fund.bank.queries_pages import platform_rows
from fund.bank.queries_pages import reconciliations as all_months
from fund.bank.queries_reconciling import Sheet, latest, month_state, reckon
from fund.bank.rules_difference import difference_hints
from fund.bank.rules_reconciling import thawed
from fund.bank.sheet_pdf import reconciliation_pdf
from fund.bank.tables import ReconciliationTable
from fund.gifts.models import Platform
from fund.ledger.queries import last_closed_month
from fund.ledger.rules import first_day, month_of, next_month, previous_month
from fund.pages import attempt, form_page, person_of, posted
from fund.refusal import BadInput
from fund.tables import book_list


def _last_month() -> str:
    return previous_month(month_of(clock.today()))


def _month(key: str) -> str:
    try:
        first_day(key)
    except BadInput as error:
        raise Http404 from error
    return key


@power("bank.see")
def reconciliations(request: HttpRequest) -> HttpResponseBase:
    closed = last_closed_month()
    context = {"due": next_month(closed) if closed else _last_month()}
    return book_list(
        request,
        ReconciliationTable,
        all_months(),
        template="fund/bank/reconciliations.html",
        context=context,
        filename="bank-reconciliations",
    )


def _sheet(key: str) -> tuple[Sheet, dict[int, str]]:
    """The month as it stands, with the words that its last reconciliation had beside its items."""
    before = latest(key)
    if before is None:
        return reckon(key), {}
    kept = thawed(before.snapshot)
    errors = {int(item.key.split("-")[1]): item.note for item in kept.bank_errors}
    notes = {item.key: item.note for item in (*kept.outstanding, *kept.in_transit)}
    return reckon(key, bank_errors=errors, notes=notes), errors


def _form(request: HttpRequest, sheet: Sheet, errors: dict[int, str]) -> PrepareForm:
    found = sheet.reckoning
    mistakes = open_lines(sheet.end).filter(pk__in=list(errors))
    form = PrepareForm(
        [*found.outstanding, *found.in_transit], [*mistakes, *sheet.unmatched], **posted(request)
    )
    for pk, words in errors.items():
        if f"error-{pk}" in form.fields:
            form.fields[f"error-{pk}"].initial = words
    return form


def _page(request: HttpRequest, form: PrepareForm, sheet: Sheet, status: int = 200) -> HttpResponse:
    found = sheet.reckoning
    items = [(item.label, item.amount) for item in (*found.in_transit, *found.outstanding)]
    context = {
        "sheet": sheet,
        "found": found,
        "state": month_state(sheet.month),
        "form": form,
        "review_form": ReviewForm(),
        "hints": difference_hints(found.difference, items),
    }
    return render(request, "fund/bank/reconciliation.html", context, status=status)


@power("bank.see")
def month(request: HttpRequest, key: str) -> HttpResponse:
    seen, errors = _sheet(_month(key))
    return _page(request, _form(request, seen, errors), seen)


@power("bank.reconcile")
@require_POST
def prepare(request: HttpRequest, key: str) -> HttpResponse:
    seen, errors = _sheet(_month(key))
    form = _form(request, seen, errors)
    if form.is_valid():
        done = attempt(
            request,
            form,
            lambda: reconcile(
                by=person_of(request),
                month=key,
                statement_balance=form.cleaned_data["statement_balance"],
                bank_errors=form.bank_errors(),
                notes=form.notes(),
            ),
        )
        if done is not None:
            messages.success(request, f"{key} is reconciled to 0.00. Somebody else reviews it now.")
            return redirect("bank:reconciliation", key=key)
    return _page(request, form, seen, status=422)


@power("bank.review")
@require_POST
def review_month(request: HttpRequest, key: str) -> HttpResponse:
    found = latest(_month(key))
    if found is None:
        raise Http404
    note = request.POST.get("note", "")
    if attempt(request, None, lambda: review(by=person_of(request), reconciliation=found, note=note)):
        messages.success(request, f"{key} is reviewed, and its sheet is kept with the month.")
    return redirect("bank:reconciliation", key=key)


@power("bank.see")
def sheet(request: HttpRequest, key: str) -> HttpResponse:
    found = latest(_month(key))
    if found is None:
        raise Http404
    if hasattr(found, "review"):
        return redirect("attachments:file", code=found.review.pdf.code)
    pdf = reconciliation_pdf(found, thawed(found.snapshot))
    name = f"bank-reconciliation-{key}.pdf"
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@power("bank.see")
def platforms(request: HttpRequest) -> HttpResponse:
    asked = request.GET.get("month", "") or _last_month()
    key = _month(asked)
    return render(request, "fund/bank/platforms.html", {"month": key, "rows": platform_rows(key)})


@power("bank.reconcile")
def platform(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Platform.objects.select_related("account"), code=code)
    initial = {"month": request.GET.get("month", "") or _last_month()}

    def act(told: dict[str, Any]) -> PlatformBalance:
        by, month, file = person_of(request), told["month"], told["file"]
        if not file:
            amount, note = told["amount"], told["note"]
            return set_platform_balance(by=by, platform=found, month=month, amount=amount, note=note)
        return import_platform_balance(
            by=by, platform=found, month=month, data=file.read(), filename=file.name, layout=told["layout"]
        )

    return form_page(
        request,
        PlatformBalanceForm(**posted(request), initial=initial),
        act,
        template="fund/bank/platform.html",
        then=lambda told: f"{reverse('bank:platforms')}?month={told.month}",
        done=lambda told: f"{found.name} held {told.amount} at the end of {told.month}, by its own account.",
        context={"platform": found},
    )
