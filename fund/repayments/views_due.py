from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.access.models import Person
from fund.confirm import confirmed_form
from fund.pages import person_of, posted
from fund.repayments import queries
from fund.repayments.actions_advances import return_advance
from fund.repayments.actions_due import record_overpayment, settle_due
from fund.repayments.forms import AdvanceBackForm, OverpaidForm, SettleForm


@power("repay.prepare")
def settle(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Person, username=code)
    due = queries.due_from(found)
    return confirmed_form(
        request,
        SettleForm(initial={"on": clock.today(), "amount": due}, **posted(request)),
        lambda cleaned: settle_due(by=person_of(request), person=found, **cleaned),
        ask=lambda cleaned: (
            f"{found.label} paid back {cleaned['amount']}?",
            [f"{cleaned['amount']} came into the bank account on {cleaned['on']}."],
            "Book it",
        ),
        template="fund/repayments/settle.html",
        then=lambda _: reverse("repayments:person", args=[code]),
        done=lambda _: f"{found.label} has paid it back.",
        context={"subject": found, "due": due},
    )


@power("repay.prepare")
def overpaid(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Person, username=code)

    def ask(cleaned: dict[str, Any]) -> tuple[str, list[str], str]:
        purse = "the bank account" if cleaned["out_of"] == "bank" else "petty cash"
        told = [
            f"{cleaned['amount']} left {purse} on {cleaned['on']}.",
            f"{found.label} owes it to the fund.",
        ]
        return f"{cleaned['amount']} went to {found.label} by mistake?", told, "Book it"

    return confirmed_form(
        request,
        OverpaidForm(initial={"on": clock.today()}, **posted(request)),
        lambda cleaned: record_overpayment(by=person_of(request), person=found, **cleaned),
        ask=ask,
        template="fund/repayments/overpaid.html",
        then=lambda _: reverse("repayments:person", args=[code]),
        done=lambda _: f"It is booked. {found.label} owes it to the fund until it comes back.",
        context={"subject": found},
    )


@power("repay.prepare")
def advance_back(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Person, username=code)
    held = queries.advance_of(found)
    return confirmed_form(
        request,
        AdvanceBackForm(initial={"on": clock.today(), "amount": held}, **posted(request)),
        lambda cleaned: return_advance(by=person_of(request), person=found, **cleaned),
        ask=lambda cleaned: (
            f"{found.label} returned {cleaned['amount']} of an advance?",
            [f"{cleaned['amount']} came into the bank account on {cleaned['on']}."],
            "Book it",
        ),
        template="fund/repayments/advance_back.html",
        then=lambda _: reverse("repayments:person", args=[code]),
        done=lambda _: "It is back in the bank account.",
        context={"subject": found, "held": held},
    )
