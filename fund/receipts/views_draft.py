"""What is done with a receipt once it is written down: post it, throw it away, take it back, add its photo."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund.access.guards import power
from fund.attachments.actions import store
from fund.confirm import confirmed_form
from fund.pages import attempt, form_page, person_of, posted
from fund.receipts.actions import add_photo, drop_draft, post_receipt
from fund.receipts.actions_takeback import recover_paid_twice, take_back
from fund.receipts.forms import PhotoForm, ReasonForm
from fund.receipts.forms_returns import PaidTwiceForm
from fund.receipts.models import Receipt


def _receipt(code: str) -> Receipt:
    return get_object_or_404(Receipt.objects.select_related("supplier", "buyer", "photo"), code=code)


@power("receipt.enter")
@require_POST
def post(request: HttpRequest, code: str) -> HttpResponse:
    """Asked for by the button under what posting will do. A refusal leaves the draft as it was."""
    draft, seen = _receipt(code), request.POST.get("seen", "")
    done = attempt(request, None, lambda: post_receipt(by=person_of(request), receipt=draft, seen=seen))
    if done:
        messages.success(request, f"{code} is in the books.")
    return redirect("receipts:receipt", code)


@power("receipt.enter")
def drop(request: HttpRequest, code: str) -> HttpResponse:
    draft = _receipt(code)
    return confirmed_form(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: drop_draft(by=person_of(request), receipt=draft, **cleaned),
        ask=lambda cleaned: (
            f"Throw {code} away?",
            [f"{draft.supplier}, {draft.on}, {draft.total}: the draft and its lines are gone."],
            "Throw it away",
        ),
        template="fund/receipts/drop.html",
        then=lambda _: reverse("receipts:all"),
        done=lambda _: f"{code} is thrown away.",
        context={"receipt": draft},
    )


@power("receipt.correct")
def undo(request: HttpRequest, code: str) -> HttpResponse:
    found = _receipt(code)
    return confirmed_form(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: take_back(by=person_of(request), receipt=found, **cleaned),
        ask=lambda cleaned: (
            f"Take {code} back?",
            [
                f"A reversing entry of today cancels {found.total} at {found.supplier}.",
                "Its open cores and untouched lots go with it; what was promised to its repairs is promised again.",
                "The receipt can be entered anew afterwards.",
            ],
            "Take it back",
        ),
        template="fund/receipts/take_back.html",
        then=lambda taken: reverse("receipts:receipt", args=[taken.code]),
        done=lambda taken: f"{taken.code} is taken back.",
        context={"receipt": found},
    )


@power("receipt.correct")
def paid_twice(request: HttpRequest, code: str) -> HttpResponse:
    found = _receipt(code)
    owes = f"{found.buyer.label} owes the fund {found.owed}; the next repayment can be netted against it."
    return confirmed_form(
        request,
        PaidTwiceForm(receipt=found, **posted(request)),
        lambda cleaned: recover_paid_twice(
            by=person_of(request),
            receipt=found,
            reason=f"the same paper as {cleaned['copy_of'].code}",
            on=cleaned["on"],
        ),
        ask=lambda cleaned: (
            f"{code} is the same paper as {cleaned['copy_of'].code} and was paid twice?",
            [owes, "The repairs on it cost that much less, and it is promised to them again."],
            "Book it",
        ),
        template="fund/receipts/paid_twice.html",
        then=lambda _: reverse("receipts:receipt", args=[code]),
        done=lambda _: f"{found.buyer.label} owes the fund {found.owed}.",
        context={"receipt": found},
    )


@power("receipt.enter")
def photo(request: HttpRequest, code: str) -> HttpResponse:
    found, person = _receipt(code), person_of(request)

    def keep(cleaned: dict[str, Any]) -> Receipt:
        kept = store(by=person, upload=cleaned["photo"], subject=code, power="receipt.see")
        return add_photo(by=person, receipt=found, photo=kept)

    return form_page(
        request,
        PhotoForm(**posted(request)),
        keep,
        template="fund/receipts/photo.html",
        then=lambda kept: reverse("receipts:receipt", args=[kept.code]),
        done=lambda kept: f"The photo is with {kept.code}.",
        context={"receipt": found},
    )
