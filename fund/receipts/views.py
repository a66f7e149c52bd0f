from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from fund import clock
from fund.access.guards import power
from fund.forms import OnceForm
from fund.pages import posted
from fund.receipts import queries
from fund.receipts.filters import ReceiptFilter
from fund.receipts.fingerprint import fingerprint
from fund.receipts.models import Receipt
from fund.receipts.queries_returns import bill_left
from fund.receipts.refusals import needs_witness
from fund.receipts.rules import sums_or_explanation
from fund.receipts.rules_counter import odd_lines
from fund.receipts.running import running
from fund.receipts.sheet import ReceiptSheet
from fund.receipts.tables import ReceiptTable, sum_words
from fund.receipts.telling import what_posting_does, what_stops
from fund.rulebook.queries import rule
from fund.sent.once import sent_before
from fund.tables import book_list

SENT = "receipt_sent"
"""Which form arrived: the next page tells the device that it need keep what was typed no longer."""


@power("receipt.see")
def receipts(request: HttpRequest) -> HttpResponseBase:
    rows = queries.receipts()
    shown = ReceiptFilter(request.GET, queryset=rows).qs.order_by()
    together = shown.aggregate(sum=Sum("total"))["sum"]
    context = {"together": sum_words(together, shown.count(), "receipt", "receipts")}
    return book_list(
        request,
        ReceiptTable,
        rows,
        ReceiptFilter,
        "fund/receipts/receipts.html",
        context,
        filename="receipts",
    )


@power("receipt.see")
def receipt(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(queries.receipt_whole(code))
    lines = list(found.lines.all())
    late = (clock.day_of(found.entered_at) - found.on).days > rule("receipts_days", found.on)
    context = {
        "receipt": found,
        "lines": lines,
        "why": sums_or_explanation(
            [line.amount for line in lines], found.tax, found.total, found.freight - found.discount
        ),
        "like": queries.same_paper(found) if found.state == "draft" else [],
        "alike": queries.look_alikes(found.photo, queries.printed(found), found.pk)
        if found.photo and found.state == "draft"
        else [],
        "left": bill_left(found) if found.tender == "supplier_bill" else None,
        "same_photo": queries.same_photo(found),
        "late": late and found.tender == "own_money",
        "odd": odd_lines([(line.text, part.home) for line in lines for part in line.portions.all()][:60])
        if found.state == "draft"
        else [],
        "poster": found.witness if found.state == "draft" and needs_witness(found, lines) else None,
        "seen": fingerprint(found) if found.state == "draft" else "",
        "sent": request.session.pop(SENT, ""),
        "consequences": what_posting_does(found) if found.state == "draft" else [],
        "stops": what_stops(found) if found.state == "draft" else [],
    }
    return render(request, "fund/receipts/receipt.html", context)


def _draft(code: str) -> Receipt:
    return get_object_or_404(Receipt.objects.select_related("supplier", "photo"), code=code)


def _sheet(request: HttpRequest, receipt: Receipt | None) -> HttpResponse:
    sent = OnceForm(**posted(request))
    saving = request.method == "POST" and not {"read", "add"} & request.POST.keys()
    if saving and (again := sent_before(request, sent)):
        request.session[SENT] = sent.once_token
        return again
    sheet = ReceiptSheet(request, receipt, sent)
    if saving and (led := sheet.save()):
        request.session[SENT] = sent.once_token
        return redirect(led.address)
    return render(request, "fund/receipts/sheet.html", sheet.context, status=sheet.status)


@power("receipt.enter")
def enter(request: HttpRequest) -> HttpResponse:
    return _sheet(request, None)


@power("receipt.enter")
def edit(request: HttpRequest, code: str) -> HttpResponse:
    draft = _draft(code)
    if draft.state != "draft":
        return redirect("receipts:receipt", draft.code)
    return _sheet(request, draft)


@power("receipt.enter")
@require_POST
def sum_so_far(request: HttpRequest) -> HttpResponse:
    """The running sum under the form, asked for by htmx while it is filled in. Writes nothing."""
    known = Receipt.objects.filter(code=request.GET.get("of", "")).first()
    return render(request, "fund/receipts/running.html", {"running": running(request.POST.dict(), known)})
