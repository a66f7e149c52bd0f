from typing import Any

from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.confirm import confirmed_form
from fund.money import total
from fund.pages import person_of, posted
from fund.receipts import queries
from fund.receipts.actions_shelf import count_many, count_shelf, issue_from_shelf
from fund.receipts.filters import LotFilter
from fund.receipts.forms_shelf import CountForm, IssueForm, RoundForm
from fund.receipts.models import ShelfCount, ShelfIssue, ShelfLot
from fund.receipts.tables import LotTable, sum_words
from fund.receipts.telling_shelf import what_a_round_does, what_counting_does, what_taking_does
from fund.tables import book_list


@power("receipt.see")
def lots(request: HttpRequest) -> HttpResponseBase:
    rows = queries.lots()
    shown = LotFilter(request.GET, queryset=rows).qs.order_by()
    together = shown.aggregate(sum=Sum("left_cost"))["sum"]
    context = {"together": sum_words(together, shown.count(), "lot", "lots")}
    return book_list(request, LotTable, rows, LotFilter, "fund/shelf/lots.html", context, filename="shelf")


@power("receipt.see")
def lot(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(ShelfLot.objects.select_related("portion__line__receipt", "entry"), code=code)
    context = {
        "lot": found,
        "issues": found.issues.select_related("cost_object", "issued_by"),
        "counts": found.counts.select_related("counted_by"),
    }
    return render(request, "fund/shelf/lot.html", context)


@power("shelf.issue")
def issue(request: HttpRequest) -> HttpResponse:
    def take(cleaned: dict[str, Any]) -> list[ShelfIssue]:
        unit, item = cleaned.pop("item")
        cleaned["cost_object"] = cleaned["cost_object"] or None
        return issue_from_shelf(by=person_of(request), item=item, unit=unit, **cleaned)

    return confirmed_form(
        request,
        IssueForm(initial={"item": request.GET.get("item")}, **posted(request)),
        take,
        ask=lambda cleaned: what_taking_does(person_of(request), **cleaned),
        template="fund/shelf/issue.html",
        then=lambda _: reverse("shelf:lots"),
        done=lambda taken: f"Taken from the shelf at {total(row.amount for row in taken)}.",
        context={"nothing": not ShelfLot.objects.filter(left_quantity__gt=0).exists()},
    )


AT_ONCE = 60  # lots on one page of a round


@power("shelf.issue")
def round_of_counting(request: HttpRequest) -> HttpResponse:
    """Many lots in one go. ``?words=`` narrows them, ``?after=`` goes on where the page before ended."""
    words, asked = request.GET.get("words", ""), request.POST
    if request.method == "POST":
        named = [name[4:] for name in asked if name.startswith("lot_") and name[4:].isdecimal()][:AT_ONCE]
        rows = list(queries.lots().filter(pk__in=named))
    else:
        rows = list(queries.lots_to_count(words, request.GET.get("after", ""))[: AT_ONCE + 1])
    form = RoundForm(lots=rows[:AT_ONCE], **posted(request))
    context = {
        "nothing": not rows,
        "words": words,
        "last": rows[AT_ONCE - 1] if len(rows) > AT_ONCE else None,
    }
    return confirmed_form(
        request,
        form,
        lambda cleaned: count_many(by=person_of(request), counted=form.counted(), on=cleaned["on"]),
        ask=lambda cleaned: what_a_round_does(form.counted(), cleaned["on"]),
        template="fund/shelf/round.html",
        then=lambda _: reverse("shelf:lots"),
        done=lambda kept: f"{len(kept)} lots counted; {sum(1 for row in kept if row.quantity)} differed.",
        context=context,
    )


@power("shelf.issue")
def count(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(ShelfLot, code=code)
    return confirmed_form(
        request,
        CountForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: count_shelf(by=person_of(request), lot=found, **cleaned),
        ask=lambda cleaned: what_counting_does(found, **cleaned),
        template="fund/shelf/count.html",
        then=lambda _: reverse("shelf:lot", args=[code]),
        done=_count_done,
        context={"lot": found},
    )


def _count_done(row: ShelfCount) -> str:
    return f"The count is kept; {abs(row.amount)} booked." if row.amount else "The count agrees and is kept."
