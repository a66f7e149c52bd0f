from typing import Any

from django.contrib import messages
from django.db.models import Count, Min, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.confirm import confirmed_form
from fund.money import Money, total
from fund.pages import attempt, form_page, person_of, posted
from fund.receipts.actions_bills import pay_supplier_bill
from fund.receipts.actions_statement import answer_question, ask_store
from fund.receipts.forms_bills import AnswerForm, BillForm, StatementForm
from fund.receipts.models import BillPayment, Receipt, Supplier
from fund.receipts.models_returns import StatementQuestion
from fund.receipts.queries_returns import set_off
from fund.receipts.queries_statement import explanations, held, open_bills, with_left
from fund.receipts.rules_statement import compare
from fund.receipts.telling_statement import question_text, unexplained


@power("receipt.see")
def bills(request: HttpRequest) -> HttpResponse:
    """What the fund owes each store, what was asked about a statement, and what was paid lately."""
    owed = Receipt.objects.filter(tender="supplier_bill", state="posted", bill_payment__isnull=True)
    rows = owed.order_by().values("supplier", "supplier__name")
    rows = rows.annotate(sum=Sum("owed"), n=Count("pk"), oldest=Min("on")).order_by("oldest")
    off = set_off(owed, by="bill__supplier")
    paid = BillPayment.objects.select_related("supplier", "paid_by", "entry").order_by("-on", "-pk")[:20]
    context = {
        "rows": [{**row, "left": row["sum"] - off.get(row["supplier"], Money.zero)} for row in rows],
        "paid": paid,
        "questions": StatementQuestion.objects.filter(answered_on=None).select_related("store", "asked_by"),
    }
    return render(request, "fund/receipts/bills.html", context)


@power("bill.pay")
def pay(request: HttpRequest, number: int) -> HttpResponse:
    """``?bill=code`` chooses bills beforehand, as the page of the statement does."""
    store = get_object_or_404(Supplier, pk=number)
    rows = store.receipts.filter(tender="supplier_bill", state="posted", bill_payment__isnull=True)
    chosen = [row for row in open_bills(store) if row.code in request.GET.getlist("bill")]
    first: dict[str, Any] = {"on": clock.today()}
    if chosen:
        sum_of = total(row.left for row in chosen)  # type: ignore[attr-defined]
        first |= {"receipts": [row.pk for row in chosen], "amount": sum_of}
    return confirmed_form(
        request,
        BillForm(bills=rows.order_by("on", "code"), initial=first, **posted(request)),
        lambda cleaned: pay_supplier_bill(by=person_of(request), supplier=store, **cleaned),
        ask=lambda cleaned: (
            f"Pay {cleaned['amount']} to {store}?",
            [f"{bill.code}: {bill.left}" for bill in with_left(cleaned["receipts"])]  # type: ignore[attr-defined]
            + ["The money leaves the bank account."],
            "Pay it",
        ),
        template="fund/receipts/pay_bill.html",
        then=lambda _: reverse("receipts:bills"),
        done=lambda payment: f"{payment.amount} paid to {store}.",
        context={"store": store, "none_open": not rows.exists()},
    )


@power("bill.pay")
def statement(request: HttpRequest, number: int) -> HttpResponse:
    """A store's statement beside the papers here. Comparing writes nothing; asking keeps the question."""
    store = get_object_or_404(Supplier, pk=number)
    form = StatementForm(**posted(request))
    context: dict[str, Any] = {"store": store, "form": form}
    if form.is_bound and form.is_valid():
        cleaned = form.cleaned_data
        found = compare(cleaned["said"], cleaned["rows"], held(open_bills(store)))
        if "ask" in request.POST:
            kept = attempt(
                request,
                form,
                lambda: ask_store(
                    by=person_of(request), supplier=store, on=cleaned["on"], said=found.said,
                    papers=found.papers, text=question_text(found),
                ),
            )  # fmt: skip
            if kept:
                messages.success(request, f"{kept.code} is kept until {store} has answered.")
                return redirect("receipts:bills")
        context |= {"found": found, "why": [*unexplained(found), *explanations(store, found.apart)]}
    return render(request, "fund/receipts/statement.html", context, status=422 if form.errors else 200)


@power("bill.pay")
def answer(request: HttpRequest, code: str) -> HttpResponse:
    question = get_object_or_404(StatementQuestion.objects.select_related("store", "asked_by"), code=code)
    return form_page(
        request,
        AnswerForm(**posted(request)),
        lambda cleaned: answer_question(by=person_of(request), question=question, **cleaned),
        template="fund/receipts/answer.html",
        then=lambda _: reverse("receipts:bills"),
        done=lambda row: f"{row.code} is answered.",
        context={"question": question},
    )
