from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.guards import power
from fund.ledger import queries_books as books
from fund.ledger.actions import add_purpose
from fund.ledger.filters import EntryFilter, LineFilter, SpanFilter, UntilFilter
from fund.ledger.forms import PurposeForm
from fund.ledger.models import Account, Entry, Purpose
from fund.ledger.tables import (
    AccountLineTable,
    AccountTable,
    EntryTable,
    LineTable,
    PurposeTable,
    RunningLines,
)
from fund.pages import form_page, person_of, posted
from fund.tables import book_list


@power("books.see")
def entries(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request, EntryTable, books.entries(), EntryFilter, "fund/ledger/entries.html", filename="entries"
    )


@power("books.see")
def entry(request: HttpRequest, number: int) -> HttpResponse:
    found = get_object_or_404(Entry.objects.select_related("by", "reverses", "reversed_by"), number=number)
    lines = list(books.lines_of_entry(found))
    return render(
        request, "fund/ledger/entry.html", {"entry": found, "lines": lines, "size": books.size_of(lines)}
    )


@power("books.see")
def lines(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request, LineTable, books.lines(), LineFilter, "fund/ledger/lines.html", filename="lines"
    )


@power("books.see")
def accounts(request: HttpRequest) -> HttpResponseBase:
    span = UntilFilter(request.GET)
    rows = books.account_rows(span.day("until"))
    return book_list(
        request,
        AccountTable,
        rows,
        template="fund/ledger/accounts.html",
        context={"filter": span},
        filename="accounts",
        per_page=len(rows) or 1,
    )


@power("books.see")
def account(request: HttpRequest, code: str) -> HttpResponseBase:
    found = get_object_or_404(Account, code=code)
    span = SpanFilter(request.GET)
    rows = RunningLines(*books.account_lines(found, span.day("since"), span.day("until")))
    return book_list(
        request,
        AccountLineTable,
        rows,
        template="fund/ledger/account.html",
        context={"filter": span, "account": found},
        filename=f"account-{found.code}",
    )


@power("books.see")
def trial_balance(request: HttpRequest) -> HttpResponseBase:
    span = UntilFilter(request.GET)
    rows = [row for row in books.account_rows(span.day("until")) if row.balance]
    return book_list(
        request,
        AccountTable,
        rows,
        template="fund/ledger/trial_balance.html",
        context={"filter": span},
        filename="trial-balance",
        per_page=len(rows) or 1,
    )


@power("books.see")
def purposes(request: HttpRequest) -> HttpResponseBase:
    span = SpanFilter(request.GET)
    rows = books.purpose_rows(span.day("since"), span.day("until"))
    return book_list(
        request,
        PurposeTable,
        rows,
        template="fund/ledger/purposes.html",
        context={"filter": span},
        filename="purposes",
        per_page=len(rows) or 1,
    )


@power("books.see")
def purpose(request: HttpRequest, code: str) -> HttpResponseBase:
    found = get_object_or_404(Purpose, code=code)
    rows = books.lines().filter(purpose=found, account__kind__in=("income", "expense", "net assets"))
    return book_list(
        request,
        LineTable,
        rows,
        template="fund/ledger/purpose.html",
        context={"purpose": found},
        filename=f"purpose-{found.code}",
    )


@power("gift.record")
def purpose_add(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        PurposeForm(**posted(request)),
        lambda cleaned: add_purpose(by=person_of(request), **cleaned),
        template="fund/ledger/purpose_add.html",
        then=lambda made: reverse("ledger:purpose", args=[made.code]),
        done=lambda made: f"“{made.name}” can now be chosen for a gift.",
    )
