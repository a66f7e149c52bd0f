"""What is not finished: one page that leads to all of it, and the acts that settle a gift."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.gifts import queries, queries_open
from fund.gifts.act import Page, act_page
from fund.gifts.actions_terms import correct_amount, hold_back_gift, settle_gift
from fund.gifts.forms_open import CorrectForm, HoldBackForm, SettleForm
from fund.gifts.models import Gift
from fund.gifts.rules_terms import RESOLVE_DAYS, UNIDENTIFIED
from fund.pages import person_of, posted


@power("gift.see")
def waiting(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    late = set(queries_open.overdue(today).values_list("pk", flat=True))
    words = {
        "unsettled": [(gift, gift.pk in late) for gift in queries_open.unsettled()],
        "own_accounts": queries_open.on_own_accounts(),
        "benefits": queries_open.owed_benefits(),
        "counted": {
            "checks": queries_open.held_checks().count(),
            "exceptions": queries_open.open_exceptions().count(),
            "disputes": queries_open.open_disputes().count(),
            "restrictions": queries_open.asked_changes().count(),
        },
        "days": RESOLVE_DAYS,
    }
    return render(request, "fund/gifts/waiting.html", words)


def gift_or_404(code: str) -> Gift:
    found = queries.gift_by_code(code)
    if found is None:
        raise Http404
    return found


def gift_page(gift: Gift, title: str, submit: str, note: str = "", caution: str = "") -> Page:
    """The words around an act on one gift."""
    who = f" from {gift.supporter.name}" if gift.supporter else ""
    under = f"{gift.code}: {gift.amount.dollars} by {gift.get_kind_display()}{who}"
    back = reverse("gifts:gift", args=[gift.code])
    return Page(title, submit, back, f"Gift {gift.code}", under, note, caution)


@power("gift.record")
def gift_settle(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    unknown = found.nature == UNIDENTIFIED
    note = f"What the bank line says: {found.terms}" if unknown else f"In the giver's words: {found.terms}"
    return act_page(
        request,
        SettleForm(unknown, **posted(request)),
        lambda told: settle_gift(
            by=person_of(request),
            gift=found,
            on=told["on"],
            words=told["words"],
            supporter=told.get("supporter"),
            purpose=told["purpose"].code if "purpose" in told else "general",
        ),
        gift_page(found, "It is a gift now", "Book it as a gift", note),
        done=lambda _: f"{code} is a gift now.",
    )


@power("gift.record")
def gift_hold_back(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    note = (
        "A gift for a named person is no gift to the fund until the giver lets the fund decide, in writing. It moves nobody "
        "up the waiting list, and no letter is written. A gift with a condition is none until the condition is met."
    )
    return act_page(
        request,
        HoldBackForm(**posted(request)),
        lambda told: hold_back_gift(by=person_of(request), gift=found, **told),
        gift_page(found, "Hold a gift back", "Hold it back", note),
        done=lambda gift: f"{gift.code} waits until it is settled.",
    )


@power("gift.record")
def gift_correct(request: HttpRequest, code: str) -> HttpResponse:
    found = gift_or_404(code)
    note = "The difference is booked with the gift's own date; in a closed month it becomes a later change."
    return act_page(
        request,
        CorrectForm(**posted(request)),
        lambda told: correct_amount(by=person_of(request), gift=found, **told),
        gift_page(found, "Correct the amount", "Book the difference", note),
        done=lambda made: f"{code}: {made.before.dollars} was {made.after.dollars}.",
    )
