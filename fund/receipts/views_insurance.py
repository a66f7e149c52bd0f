from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund.access.guards import power
from fund.confirm import confirmed_form
from fund.forms import DayField, MoneyFormField, OnceForm
from fund.pages import person_of, posted
from fund.receipts.actions_insurance import INSURED, claim_insurance
from fund.receipts.in_cost import in_cost
from fund.receipts.models import ReceiptPortion


class InsuranceForm(OnceForm):
    """An insurer's agreement, as its letter says it."""

    insurer = forms.CharField(label="Insurer", max_length=60)
    amount = MoneyFormField(
        label="What it agreed to pay",
        above_zero=True,
        help_text="Without what the fund bears itself (the deductible).",
    )
    on = DayField(label="Day it agreed")
    reason = forms.CharField(label="What happened", max_length=200)


@power("receipt.enter")
def insurer(request: HttpRequest, code: str, number: int) -> HttpResponse:
    rows = ReceiptPortion.objects.select_related("line__receipt__supplier")
    found = get_object_or_404(
        rows, pk=number, line__receipt__code=code, line__receipt__state="posted", home__in=INSURED
    )
    return confirmed_form(
        request,
        InsuranceForm(**posted(request)),
        lambda cleaned: claim_insurance(by=person_of(request), portion=found, **cleaned),
        ask=lambda cleaned: (
            f"Has {cleaned['insurer']} agreed to pay {cleaned['amount']}?",
            [
                f"{cleaned['insurer']} owes the fund {cleaned['amount']}; it waits among what is due.",
                "The loss is smaller by it.",
            ],
            "Book it",
        ),
        template="fund/receipts/insurer.html",
        then=lambda made: reverse("receipts:claim", args=[made.code]),
        done=lambda made: f"{made.code}: {made.amount} due from {made.store}.",
        context={"portion": found, "left": in_cost(found).cost},
    )
