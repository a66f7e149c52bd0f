"""Money lent to the fund."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund.access.guards import power
from fund.gifts.act import Page, act_page
from fund.gifts.actions_loans import forgive_loan, record_loan, repay_loan
from fund.gifts.forms_more import ForgiveForm, LoanForm, RepayForm
from fund.gifts.models import Loan
from fund.gifts.queries_loans import loans as all_loans
from fund.gifts.queries_loans import still_owed
from fund.gifts.tables_open import LoanFilter, LoanTable
from fund.pages import person_of, posted
from fund.tables import book_list


@power("gift.names")
def loans(request: HttpRequest) -> HttpResponseBase:
    return book_list(request, LoanTable, all_loans(), LoanFilter, "fund/gifts/loans.html", filename="loans")


@power("gift.record")
def loan_new(request: HttpRequest) -> HttpResponse:
    note = "A loan is owed back and is no gift. It becomes one only when the lender forgives it in writing."
    return act_page(
        request,
        LoanForm(**posted(request)),
        lambda told: record_loan(by=person_of(request), **told),
        Page("A loan to the fund", "Book the loan", reverse("gifts:loans"), "Loans", note=note),
        done=lambda loan: f"{loan.code}: {loan.amount.dollars} is owed to {loan.lender.name}.",
        then=lambda loan: reverse("gifts:loan", args=[loan.code]),
    )


@power("gift.names")
def loan(request: HttpRequest, code: str) -> HttpResponse:
    found = _loan(code)
    moves = found.moves.select_related("entry")
    return render(request, "fund/gifts/loan.html", {"loan": found, "moves": moves, "owed": still_owed(found)})


@power("gift.record")
def loan_repay(request: HttpRequest, code: str) -> HttpResponse:
    found = _loan(code)
    return act_page(
        request,
        RepayForm(**posted(request)),
        lambda told: repay_loan(by=person_of(request), loan=found, **told),
        _page(found, "Pay a loan back", "Book the repayment"),
        done=lambda move: f"{move.amount.dollars} of {code} is repaid.",
    )


@power("gift.record")
def loan_forgive(request: HttpRequest, code: str) -> HttpResponse:
    found = _loan(code)

    def ask(told: dict[str, Any]) -> tuple[str, list[str], str]:
        lines = ["From that day it is a gift of the lender's.", f"In writing: {told['words']}"]
        return f"{told['amount'].dollars} of {code} is forgiven?", lines, "Book it as forgiven"

    return act_page(
        request,
        ForgiveForm(**posted(request)),
        lambda told: forgive_loan(by=person_of(request), loan=found, **told),
        _page(found, "A loan is forgiven", "Go on"),
        done=lambda move: f"{move.amount.dollars} of {code} is a gift now.",
        ask=ask,
    )


def _loan(code: str) -> Loan:
    return get_object_or_404(Loan.objects.select_related("lender", "entry"), code=code)


def _page(loan: Loan, title: str, submit: str) -> Page:
    under = f"{loan.code} of {loan.lender.name}: {still_owed(loan).dollars} still owed"
    return Page(title, submit, reverse("gifts:loan", args=[loan.code]), f"Loan {loan.code}", under)
