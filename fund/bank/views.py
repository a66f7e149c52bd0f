from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from fund import clock
from fund.access.guards import power
from fund.bank.queries import STALE_DAYS, bank_today
from fund.bank.queries_open import open_lines
from fund.bank.queries_reconciling import covered_until
from fund.ledger.chart import BANK
from fund.ledger.filters import SpanFilter
from fund.ledger.models import Account
from fund.ledger.queries_books import account_lines
from fund.ledger.tables import AccountLineTable, RunningLines
from fund.tables import book_list


@power("bank.see")
def bank(request: HttpRequest) -> HttpResponse:
    state = bank_today(clock.today())
    context = {"state": state, "stale": STALE_DAYS, "covered": covered_until(), "open": open_lines().count()}
    return render(request, "fund/bank/bank.html", context)


@power("bank.see")
def lines(request: HttpRequest) -> HttpResponseBase:
    span = SpanFilter(request.GET)
    bank = get_object_or_404(Account, code=BANK)
    rows = RunningLines(*account_lines(bank, span.day("since"), span.day("until")))
    return book_list(
        request,
        AccountLineTable,
        rows,
        template="fund/bank/lines.html",
        context={"filter": span},
        filename="bank-account",
    )
