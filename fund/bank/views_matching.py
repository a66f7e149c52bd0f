"""Lines of the bank and what they are in the books."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund.access.guards import power
from fund.bank.actions import confirm_all, split, undo
from fund.bank.forms import ReasonForm, SettleForm
from fund.bank.models import MatchGroup, StatementLine
from fund.bank.queries_pages import (
    candidates,
    find_suggestion,
    group_of,
    lines_with_state,
    match_work,
    parts_of,
)
from fund.pages import attempt, form_page, person_of, posted
from fund.refusal import AlreadyDone


@power("bank.see")
def match(request: HttpRequest) -> HttpResponse:
    return render(request, "fund/bank/match.html", {"work": match_work()})


@power("bank.reconcile")
@require_POST
def confirm_one(request: HttpRequest) -> HttpResponse:
    found = find_suggestion(request.POST.get("suggestion", ""))
    if found is None:
        messages.error(request, "This suggestion no longer stands. Look at what is suggested now.")
        return redirect("bank:match")
    done = attempt(request, None, lambda: confirm_all(by=person_of(request), chosen=[found]))
    if done:
        messages.success(request, f"{done[0].code}: {found.why}")
    return redirect("bank:match")


@power("bank.reconcile")
@require_POST
def confirm_sure(request: HttpRequest) -> HttpResponse:
    def act() -> list[MatchGroup]:
        sure = [one.suggestion for one in match_work().proposals if one.suggestion.sure]
        if not sure:
            raise AlreadyDone("No sure suggestion is left.")
        return confirm_all(by=person_of(request), chosen=sure)

    if done := attempt(request, None, act):
        messages.success(request, f"{len(done)} sure suggestions are confirmed.")
    return redirect("bank:match")


@power("bank.see")
def line(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(lines_with_state().select_related("file", "corrects", "corrected_by"), pk=pk)
    group = group_of(found)
    context = {"line": found, "group": group, "parts": parts_of(group) if group else None}
    return render(request, "fund/bank/line.html", context)


@power("bank.reconcile")
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(StatementLine, pk=pk)
    form = SettleForm(found, candidates(found), **posted(request))
    return form_page(
        request,
        form,
        lambda _: split(by=person_of(request), line=found, pieces=form.pieces(), entries=form.chosen()),
        template="fund/bank/settle.html",
        then=lambda _: reverse("bank:match"),
        done=lambda group: f"{group.code}: the line of {found.on} over {found.amount} is settled.",
        context={"line": found},
    )


@power("bank.reconcile")
def undo_match(request: HttpRequest, code: str) -> HttpResponse:
    group = get_object_or_404(MatchGroup.objects.select_related("by"), code=code)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda told: undo(by=person_of(request), group=group, reason=told["reason"]),
        template="fund/bank/undo.html",
        then=lambda _: reverse("bank:match"),
        done=lambda _: f"{group.code} is undone; its lines are open again.",
        context={"group": group, "parts": parts_of(group)},
    )
