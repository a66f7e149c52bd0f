"""Parts that go back and what stores owe for them."""

from typing import Any

from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.confirm import confirmed_form
from fund.pages import person_of, posted
from fund.receipts.actions_claims import claim_tax, settle_claim
from fund.receipts.actions_returns import (
    book_rebate,
    replace_at_no_charge,
    return_to_shelf,
    return_to_store,
)
from fund.receipts.filters import ClaimFilter
from fund.receipts.forms_returns import GoBackForm, SettleForm, TaxClaimForm, UnusedForm
from fund.receipts.in_cost import in_cost
from fund.receipts.models import Receipt, ReceiptPortion, ShelfIssue
from fund.receipts.models_returns import ClaimSettlement
from fund.receipts.quantities import quantity_words
from fund.receipts.queries_returns import claims, open_amount, store_credits
from fund.receipts.rules_returns import no_goods
from fund.receipts.tables import ClaimTable
from fund.receipts.telling_returns import what_going_back_does, what_settling_does
from fund.tables import book_list


@power("receipt.see")
def all_claims(request: HttpRequest) -> HttpResponseBase:
    """What stores owe the fund, and the credit it holds with them."""
    context = {"credits": store_credits()}
    return book_list(
        request, ClaimTable, claims(), ClaimFilter, "fund/receipts/claims.html", context, filename="claims"
    )


@power("receipt.see")
def claim(request: HttpRequest, code: str) -> HttpResponse:
    endings = ClaimSettlement.objects.select_related("by", "bill")
    rows = claims().prefetch_related(None).prefetch_related(Prefetch("settlements", endings))
    found = get_object_or_404(rows, code=code)
    return render(request, "fund/receipts/claim.html", {"claim": found, "open": open_amount(found)})


@power("claim.settle")
def settle(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(claims(), code=code)
    return confirmed_form(
        request,
        SettleForm(claim=found, left=open_amount(found), **posted(request)),
        lambda cleaned: settle_claim(by=person_of(request), claim=found, **cleaned),
        ask=lambda cleaned: what_settling_does(found, cleaned),
        template="fund/receipts/settle.html",
        then=lambda _: reverse("receipts:claim", args=[code]),
        done=lambda row: f"{row.amount} of {code}: {row.get_kind_display()}.",
        context={"claim": found, "open": open_amount(found)},
    )


@power("receipt.enter")
def go_back(request: HttpRequest, code: str, number: int) -> HttpResponse:
    rows = ReceiptPortion.objects.select_related("line__receipt__supplier")
    portion = get_object_or_404(rows, pk=number, line__receipt__code=code, line__receipt__state="posted")
    person = person_of(request)

    def act(cleaned: dict[str, Any]) -> object:
        way, amount = cleaned.pop("way"), cleaned.pop("amount")
        if way == "rebate":
            cleaned.pop("quantity")
            return book_rebate(by=person, portion=portion, amount=amount, **cleaned)
        if way in ("store", "warranty"):
            return return_to_store(by=person, portion=portion, warranty=way == "warranty", **cleaned)
        return (replace_at_no_charge if way == "replaced" else return_to_shelf)(
            by=person, portion=portion, **cleaned
        )

    still, goods = in_cost(portion), not no_goods(portion.home, portion.line.text)
    return confirmed_form(
        request,
        GoBackForm(left=still.quantity, goods=goods, **posted(request)),
        act,
        ask=lambda cleaned: what_going_back_does(portion, cleaned),
        template="fund/receipts/go_back.html",
        then=lambda _: reverse("receipts:receipt", args=[code]),
        done=lambda _: "It is written down.",
        context={"portion": portion, "left": still.quantity, "cost": still.cost},
    )


@power("shelf.issue")
def unused(request: HttpRequest, number: int) -> HttpResponse:
    issue = get_object_or_404(ShelfIssue.objects.select_related("lot"), pk=number)
    return confirmed_form(
        request,
        UnusedForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: return_to_shelf(by=person_of(request), issue=issue, **cleaned),
        ask=lambda cleaned: (
            f"{quantity_words(cleaned['quantity'], issue.lot.unit)} of {issue.lot.item} back onto the shelf?",
            ["It lies there again at what it had cost; the repair costs that much less."],
            "Put it there",
        ),
        template="fund/shelf/unused.html",
        then=lambda lot: reverse("shelf:lot", args=[lot.code]),
        done=lambda lot: f"Back on the shelf as {lot.code} at {lot.cost}.",
        context={"issue": issue},
    )


@power("receipt.enter")
def tax(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Receipt.objects.select_related("supplier"), code=code)
    return confirmed_form(
        request,
        TaxClaimForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: claim_tax(by=person_of(request), receipt=found, **cleaned),
        ask=lambda cleaned: (
            f"Claim the tax of {code} from {found.supplier}?",
            [
                f"{found.supplier} owes the fund up to {found.tax}.",
                "Each repair costs its share of the tax less; so does what lies on the shelf, and a core still out.",
            ],
            "Claim it",
        ),
        template="fund/receipts/claim_tax.html",
        then=lambda made: reverse("receipts:claim", args=[made.code]),
        done=lambda made: f"{made.code}: {made.amount} claimed.",
        context={"receipt": found},
    )
