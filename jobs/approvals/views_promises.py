"""Promises and how long nobody has used them; purchases beyond an approval."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import may, power
from fund.commitments.queries import overruns
from fund.commitments.queries_idle import promised, to_look_at
from fund.confirm import confirmed_form
from fund.ledger.models import CostObject
from fund.pages import form_page, person_of, posted
from fund.receipts.models import Receipt
from fund.receipts.queries import shares_of
from fund.receipts.rules import cost_by_repair
from fund.rulebook.queries import rule
from fund.tables import book_list
from jobs.approvals.actions_lapse import let_go, renew
from jobs.approvals.actions_overspend import ratify_receipt
from jobs.approvals.forms import WhyForm
from jobs.approvals.queries_consumables import takers
from jobs.approvals.rules_read import mark_of_overruns
from jobs.approvals.tables import PromisedTable
from jobs.repairs.pages import repair_or_404


@power("repair.see")
def all_promised(request: HttpRequest) -> HttpResponseBase:
    only = request.GET.get("look") == "1"
    rows = to_look_at() if only else promised()
    context = {"only": only, "stale_days": rule("stale_days")}
    decides = {"decides": may(person_of(request), "repair.approve"), "takers": takers()}
    template = "jobs/approvals/promised.html"
    return book_list(
        request, PromisedTable, rows, None, template, context, filename="promised", table_kwargs=decides
    )


@power("repair.approve")
def renewal(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    return form_page(
        request,
        WhyForm(**posted(request)),
        lambda data: renew(by=person_of(request), repair=repair, reason=data["reason"]),
        template="jobs/approvals/renew.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: f"{number} may be bought for until {row.until}.",
        context={"repair": repair, "days": rule("approval_days"), "rows": promised(cost_object=number)},
    )


@power("repair.approve")
def letting_go(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    rows = promised(cost_object=number)
    left = rows[0].amount.dollars if rows else "Nothing"
    return confirmed_form(
        request,
        WhyForm(**posted(request)),
        lambda data: let_go(by=person_of(request), repair=repair, reason=data["reason"]),
        ask=lambda data: (
            f"Let go of what is promised to {number}?",
            [
                f"{left} becomes free to commit at once.",
                "Nothing more may be bought for it without a new yes; what was bought stays.",
            ],
            "Let it go",
        ),
        template="jobs/approvals/let_go.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: f"{row.amount.dollars} of {number} is free to commit again.",
        context={"repair": repair, "rows": rows},
    )


@power("repair.approve")
def overspent(request: HttpRequest, code: str) -> HttpResponse:
    receipt = get_object_or_404(Receipt.objects.select_related("supplier", "buyer", "entered_by"), code=code)
    costs = cost_by_repair(shares_of(receipt))
    labels = dict(CostObject.objects.filter(code__in=costs).values_list("code", "label"))
    passing = [(row, labels[row.cost_object]) for row in overruns(costs)]
    return form_page(
        request,
        WhyForm(**posted(request)),
        lambda data: ratify_receipt(
            by=person_of(request),
            receipt=receipt,
            reason=data["reason"],
            read=request.POST.get("read", ""),
        ),
        template="jobs/approvals/overspent.html",
        then=lambda rows: reverse("receipts:receipt", args=[code]),
        done=lambda rows: f"{code} is posted; " + ", ".join(f"{row.amount.dollars} ratified" for row in rows),
        context={
            "receipt": receipt,
            "passing": passing if receipt.state == "draft" else [],
            "read": mark_of_overruns(row for row, _ in passing),
        },
    )
