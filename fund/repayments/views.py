from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.models import Person
from fund.confirm import confirmed_form
from fund.money import Money, total
from fund.pages import form_page, person_of, posted
from fund.repayments import queries, queries_held
from fund.repayments.actions import cancel_repayment, prepare_repayment, release_repayment
from fund.repayments.actions_checks import stop_check
from fund.repayments.actions_given import give_back
from fund.repayments.forms import GiveForm, PrepareForm, ReasonForm, ReleaseForm, StopForm
from fund.repayments.hands import may_prepare, may_release
from fund.repayments.models import Repayment
from fund.repayments.tables import OwedTable, RepaymentTable, UnpaidTable
from fund.tables import book_list


@power("receipt.see")
def owed(request: HttpRequest) -> HttpResponseBase:
    rows = queries.owed_list()
    context = {
        "together": total(row.amount for row in rows),
        "waiting": list(queries.waiting_for_release()),
        "checks": [one for one in queries_held.uncashed() if one.over],
    }
    return book_list(
        request, OwedTable, rows, None, "fund/repayments/owed.html", context, filename="owed-to-the-crew"
    )


@power("receipt.enter")
def mine(request: HttpRequest) -> HttpResponseBase:
    person = person_of(request)
    rows = queries.open_claims(person)
    context = {"row": queries.owed_row(person, rows), "payments": queries.repayments(person)[:12]}
    return book_list(
        request, UnpaidTable, rows, None, "fund/repayments/mine.html", context, filename="owed-to-me"
    )


@power("receipt.enter")
def give(request: HttpRequest) -> HttpResponse:
    me = person_of(request)
    claims = queries.open_claims(me)
    return confirmed_form(
        request,
        GiveForm(claims=claims, **posted(request)),
        lambda cleaned: give_back(by=me, **{"receipts": [], **cleaned}),
        ask=lambda cleaned: (
            "Give it to the fund?",
            [
                f"{_chosen(cleaned)} that the fund owes you becomes a gift of money.",
                "You will not be paid for it. The treasurer can write you a letter about the gift.",
            ],
            "Give it",
        ),
        template="fund/repayments/give.html",
        then=lambda made: reverse("repayments:payment", args=[made.code]),
        done=lambda made: f"Thank you. {made.amount} is a gift to the fund now.",
        context={"none_open": not claims},
    )


def _chosen(cleaned: dict[str, Any]) -> Money:
    """What the claims that were ticked come to."""
    receipts, miles = cleaned.get("receipts", ()), cleaned.get("mileage", ())
    return total([row.owed for row in receipts] + [row.amount for row in miles])


@power("receipt.see")
def person(request: HttpRequest, code: str) -> HttpResponseBase:
    found = get_object_or_404(Person, username=code)
    rows = queries.open_claims(found)
    context = {
        "subject": found,
        "row": queries.owed_row(found, rows),
        "payments": queries.repayments(found)[:12],
        "own": found == person_of(request),
        "may_prepare": may_prepare(person_of(request), found),
    }
    return book_list(
        request, UnpaidTable, rows, None, "fund/repayments/person.html", context, filename=f"owed-{code}"
    )


@power("repay.prepare", "repay.prepare_for_treasurer")
def prepare(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Person, username=code)
    claims = queries.open_claims(found)
    due, advance = queries.due_from(found), queries.advance_of(found)
    keep = due > Money.zero or advance > Money.zero
    return form_page(
        request,
        PrepareForm(claims=claims, keep=keep, **posted(request)),
        lambda cleaned: prepare_repayment(by=person_of(request), person=found, **{"receipts": [], **cleaned}),
        template="fund/repayments/prepare.html",
        then=lambda made: reverse("repayments:payment", args=[made.code]),
        done=lambda made: f"{made.code} over {made.paid} waits for its release by another person.",
        context={"subject": found, "none_open": not claims, "due": due, "advance": advance},
    )


@power("receipt.see")
def payments(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        RepaymentTable,
        queries.repayments(),
        None,
        "fund/repayments/payments.html",
        filename="repayments",
    )


def _payment(code: str) -> Repayment:
    return get_object_or_404(queries.repayments(), code=code)


@power("receipt.see")
def payment(request: HttpRequest, code: str) -> HttpResponse:
    found, me = _payment(code), person_of(request)
    context = {
        "payment": found,
        "items": found.items.select_related("receipt__supplier", "receipt__photo", "mileage"),
        "may_release": found.state == "prepared" and may_release(me, found.person, found.prepared_by),
        "may_stop": found.way == "check"
        and found.state == "released"
        and me != found.person
        and not queries_held.is_cashed(found),
    }
    return render(request, "fund/repayments/payment.html", context)


@power("repay.release", "repay.release_for_owner")
def release(request: HttpRequest, code: str) -> HttpResponse:
    found = _payment(code)
    return confirmed_form(
        request,
        ReleaseForm(initial={"on": min(found.on, clock.today())}, **posted(request)),
        lambda cleaned: release_repayment(by=person_of(request), repayment=found, **cleaned),
        ask=lambda cleaned: (
            f"Pay {found.paid} to {found.person.label}?",
            [
                f"{item.code}: {item.amount}{', ' + item.flag if item.flag else ''}"
                for item in found.items.all()
            ]
            + [f"{found.kept} of it is set against what they owe or hold." for _ in range(bool(found.kept))]
            + [f"The money leaves the bank account on {cleaned['on']}."],
            "Release it",
        ),
        template="fund/repayments/release.html",
        then=lambda paid: reverse("repayments:payment", args=[paid.code]),
        done=lambda paid: f"{paid.paid} paid to {paid.person.label}.",
        context={"payment": found},
    )


@power("repay.prepare")
def cancel(request: HttpRequest, code: str) -> HttpResponse:
    found = _payment(code)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: cancel_repayment(by=person_of(request), repayment=found, **cleaned),
        template="fund/repayments/cancel.html",
        then=lambda gone: reverse("repayments:payment", args=[gone.code]),
        done=lambda gone: f"{gone.code} is cancelled; its claims are open again.",
        context={"payment": found},
    )


@power("repay.prepare")
def stop(request: HttpRequest, code: str) -> HttpResponse:
    found = _payment(code)
    return confirmed_form(
        request,
        StopForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: stop_check(by=person_of(request), repayment=found, **cleaned),
        ask=lambda cleaned: (
            f"Check {found.check_number} over {found.paid} is stopped?",
            [
                "The money is back in the bank account in the books, and owed again.",
                "Its claims can be prepared anew.",
            ],
            "Book it",
        ),
        template="fund/repayments/stop.html",
        then=lambda gone: reverse("repayments:payment", args=[gone.code]),
        done=lambda gone: f"The check is stopped. {gone.person.label} is owed the money again.",
        context={"payment": found},
    )
