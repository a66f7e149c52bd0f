"""Supporters: who they are, merged, taken apart, forgotten."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.gifts import queries, queries_supporters
from fund.gifts.act import Page, act_page
from fund.gifts.actions import add_supporter, edit_supporter
from fund.gifts.actions_erase import erase_supporter
from fund.gifts.actions_merge import merge_supporters, unmerge_supporters
from fund.gifts.forgetting import what_stays
from fund.gifts.forms import SupporterForm
from fund.gifts.forms_more import EraseForm, MergeForm
from fund.gifts.forms_open import ReasonForm
from fund.gifts.models import Supporter, SupporterMerge
from fund.gifts.queries_letters import with_letters
from fund.gifts.rules_pattern import RULE
from fund.gifts.tables import SupporterFilter, SupporterGiftTable, SupporterTable
from fund.pages import form_page, person_of, posted
from fund.tables import book_list


@power("gift.names")
def supporters(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        SupporterTable,
        queries.supporters(),
        SupporterFilter,
        "fund/gifts/supporters.html",
        {"rule": RULE},
        filename="supporters",
    )


@power("gift.names")
def supporter(request: HttpRequest, code: str) -> HttpResponseBase:
    known = queries.with_returned(queries_supporters.supporters()).filter(code=code).first()
    found = known or get_object_or_404(Supporter.objects.select_related("merged_into"), code=code)
    words = {
        "supporter": found,
        "giving": queries.giving_of(found),
        "pattern": queries_supporters.pattern_now(known, clock.today()) if known else None,
        "rule": RULE,
        "merges": queries_supporters.merges_of(found),
        "alike": [] if found.merged_into_id or found.erased_at else queries_supporters.look_alikes(found),
        "also": queries_supporters.also_of(found),
    }
    return book_list(
        request,
        SupporterGiftTable,
        with_letters(queries.gifts().filter(supporter=found).select_related("payout")),
        template="fund/gifts/supporter.html",
        context=words,
        filename=f"gifts-{found.code}",
    )


@power("gift.record")
def supporter_new(request: HttpRequest) -> HttpResponse:
    return form_page(
        request,
        SupporterForm(**posted(request)),
        lambda cleaned: add_supporter(by=person_of(request), **cleaned),
        template="fund/gifts/supporter_form.html",
        then=lambda made: reverse("gifts:supporter", args=[made.code]),
        done=lambda made: f"{made.name} is written down as {made.code}.",
    )


@power("gift.record")
def supporter_edit(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Supporter, code=code)
    initial = {name: getattr(found, name) for name in SupporterForm.base_fields}
    return form_page(
        request,
        SupporterForm(**posted(request), initial=initial),
        lambda cleaned: edit_supporter(by=person_of(request), supporter=found, **cleaned),
        template="fund/gifts/supporter_form.html",
        then=lambda made: reverse("gifts:supporter", args=[made.code]),
        done=lambda made: f"{made.code} is corrected.",
        context={"supporter": found},
    )


def _page(found: Supporter, title: str, submit: str, note: str = "", caution: str = "") -> Page:
    back = reverse("gifts:supporter", args=[found.code])
    return Page(title, submit, back, found.name, found.code, note, caution)


@power("supporter.merge")
def supporter_merge(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Supporter, code=code)
    note = "Everything of the other one comes here and is written down, so that it can go back. The books keep both codes."
    return act_page(
        request,
        MergeForm(found, **posted(request), initial={"gone": request.GET.get("gone", "")}),
        lambda told: merge_supporters(by=person_of(request), kept=found, **told),
        _page(found, f"The same as {found.name}", "Merge the two", note),
        done=lambda merge: f"{merge.gone.code} is merged into {merge.kept.code}.",
    )


@power("supporter.merge")
def supporter_unmerge(request: HttpRequest, pk: int) -> HttpResponse:
    merge = get_object_or_404(SupporterMerge.objects.select_related("kept", "gone"), pk=pk)
    note = (
        f"What came from {merge.gone.code} goes back to it; what came since stays. Letters written meanwhile may name the "
        "wrong giver: void them and write new ones."
    )
    return act_page(
        request,
        ReasonForm(**posted(request)),
        lambda told: unmerge_supporters(by=person_of(request), merge=merge, reason=told["reason"]),
        _page(merge.kept, f"{merge.gone.code} is somebody else", "Take them apart", note),
        done=lambda gone: f"{gone.code} is a supporter of its own again.",
        then=lambda gone: reverse("gifts:supporter", args=[gone.code]),
    )


@power("supporter.merge")
def supporter_erase(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Supporter, code=code)

    def ask(told: dict[str, Any]) -> tuple[str, list[str], str]:
        lines = [
            f"Name, e-mail, address and note are replaced by {found.code}, also in the payout files that are kept.",
            "What was typed about their gifts, checks, pledges and loans goes too.",
            "Gifts, entries and sums stay as they are, under the code.",
            *what_stays(found),
            "No letter can be written to them any more.",
        ]
        return f"Forget {found.name}?", lines, "Erase for good"

    return act_page(
        request,
        EraseForm(**posted(request)),
        lambda told: erase_supporter(by=person_of(request), supporter=found, words=told["words"]),
        _page(found, f"Erase {found.name}", "Go on", "Only when the person asks for it."),
        done=lambda one: f"{one.code} is erased. The ledger keeps the code.",
        ask=ask,
    )
