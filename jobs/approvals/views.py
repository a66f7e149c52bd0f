from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.ledger.chart import GENERAL
from fund.pages import attempt, form_page, person_of, posted
from jobs.approvals import actions
from jobs.approvals.actions_relations import answer_relation
from jobs.approvals.forms import DecisionForm, TieForm
from jobs.approvals.models import Approval
from jobs.approvals.queries import decided_without_owner, purposes_for, sheet, stands_in_for, to_decide
from jobs.approvals.queries_consumables import taken_before_decisions
from jobs.approvals.queries_overspend import drafts_that_pass
from jobs.approvals.rules_read import CHANGED
from jobs.approvals.sheet import Sheet
from jobs.approvals.snapshot import mark_of
from jobs.eligibility.queries import household_facts
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404


@power("repair.approve")
def waiting(request: HttpRequest) -> HttpResponse:
    context = {
        "repairs": to_decide(),
        "bought": drafts_that_pass(),
        "taken": taken_before_decisions(),
        "without_owner": decided_without_owner(clock.today()),
    }
    return render(request, "jobs/approvals/waiting.html", context)


@power("repair.approve")
def decide(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    purpose = request.POST.get("purpose") or request.GET.get("purpose") or GENERAL
    purposes = purposes_for()
    purpose = purpose if purpose in dict(purposes) else GENERAL
    word = request.POST.get("decision", "")
    start = _own_answer(repair, request, purpose)
    stands_in = stands_in_for(person_of(request))
    form = DecisionForm(purposes=purposes, word=word, stands_in=stands_in, initial=start, **posted(request))
    if word == "no" and not request.POST.get("confirm") and form.is_valid():
        context = {"repair": repair, "form": form, "read": request.POST.get("read", "")}
        return render(request, "jobs/approvals/decline.html", context)
    if word in VERBS and form.is_valid():
        made = attempt(request, form, lambda: _decide(request, repair, word, form.cleaned_data))
        if made is not None:
            messages.success(request, f"{number}: {made.get_kind_display()} kept.")
            return redirect("repairs:repair", number)
    tried = form["unreachable"].value() if stands_in else ""
    found = sheet(repair, person_of(request), clock.today(), purpose, tried or "")
    stale = request.POST.get("read", "") != mark_of(found)
    if form.errors and stale and CHANGED not in form.non_field_errors():
        form.add_error(None, CHANGED)
    status = 422 if form.errors else 200
    return render(request, "jobs/approvals/decide.html", _screen(found, form, purposes), status=status)


def _decide(request: HttpRequest, repair: RepairOrder, word: str, data: dict[str, Any]) -> Approval:
    """The own answer first and by itself: a tie that was named stays named even if the decision is refused."""
    answer_relation(by=person_of(request), repair=repair, tie=data["tie"] == "yes", words=data["words"])
    return VERBS[word](request, repair, data)


def _yes(request: HttpRequest, repair: RepairOrder, data: dict[str, Any]) -> Approval:
    verb = actions.supplement if repair.promised else actions.approve
    return verb(
        by=person_of(request),
        repair=repair,
        purpose=data["purpose"] or GENERAL,
        reason=data["reason"],
        unreachable=data.get("unreachable", ""),
        read=request.POST.get("read", ""),
    )


VERBS: dict[str, Callable[[HttpRequest, RepairOrder, dict[str, Any]], Approval]] = {
    "yes": _yes,
    "first": lambda request, repair, data: actions.agree(
        by=person_of(request), repair=repair, reason=data["reason"], read=request.POST.get("read", "")
    ),
    "no": lambda request, repair, data: actions.decline(
        by=person_of(request), repair=repair, reason=data["reason"], read=request.POST.get("read", "")
    ),
    "later": lambda request, repair, data: actions.put_off(
        by=person_of(request), repair=repair, reason=data["reason"], read=request.POST.get("read", "")
    ),
}


def _own_answer(repair: RepairOrder, request: HttpRequest, purpose: str) -> dict[str, Any]:
    row = repair.relations.filter(person=person_of(request), tie__isnull=False).first()
    return (
        {"tie": "yes" if row.tie else "no", "words": row.words, "purpose": purpose}
        if row
        else {"purpose": purpose}
    )


def _screen(found: Sheet, form: DecisionForm, purposes: list[tuple[str, str]]) -> dict[str, Any]:
    repair = found.repair
    to_decide = found.request is not None or repair.state == "estimated"
    return {
        "repair": repair,
        "sheet": found,
        "case": found.case,
        "read": mark_of(found),
        "form": form,
        "purposes": purposes,
        "household": household_facts(repair.application, found.case.on),
        "earlier": repair.approvals.select_related("approver"),
        "open": to_decide,
        # Of what is decided the figures of a further yes would count the repair twice; its decisions are below.
        "ahead": to_decide or repair.approved_on is None,
        "first_of_two": found.takes_two and found.case.agreed_by is None,
    }


@power("repair.approve", "books.see")
def frozen(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    approval = get_object_or_404(
        Approval.objects.select_related("approver", "repair"), pk=pk, repair__number=number
    )
    return render(
        request,
        "jobs/approvals/frozen.html",
        {"approval": approval, "frozen": approval.snapshot, "repair": approval.repair},
    )


@power("repair.see")
def tie(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    start = _own_answer(repair, request, GENERAL)
    return form_page(
        request,
        TieForm(initial=start, **posted(request)),
        lambda data: answer_relation(
            by=person_of(request), repair=repair, tie=data["tie"] == "yes", words=data["words"]
        ),
        template="jobs/approvals/tie.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: "Thank you. Your answer is kept with the repair.",
        context={"repair": repair},
    )
