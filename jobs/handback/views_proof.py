"""Pages of the check list and of reminders."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fund import clock
from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.tables import book_list
from jobs.eligibility.ties import has_tie
from jobs.handback import actions_handback, actions_proof
from jobs.handback.forms_proof import CheckListForm, ReminderForm
from jobs.handback.models_proof import CheckList
from jobs.handback.queries import did_the_work
from jobs.handback.queries_proof import lines_asked, reminders
from jobs.handback.tables import ReminderFilter, ReminderTable
from jobs.repairs.pages import repair_or_404


@power("roadtest.record")
def check_list(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    by, asked = person_of(request), lines_asked(found)
    return form_page(
        request,
        CheckListForm(asked=asked, initial={"on": clock.today()}, **posted(request)),
        lambda data: actions_proof.record_check_list(by=by, repair=found, on=data["on"], lines=data["lines"]),
        template="jobs/handback/check_list.html",
        then=lambda _: reverse("repairs:repair", args=[number]),
        done=lambda row: (
            "Check list kept, all well."
            if row.whole
            else "Check list kept. The vehicle stays until it is put right."
        ),
        context={
            "repair": found,
            "asked": asked,
            "own_work": by.pk in did_the_work(found),
            "tied": has_tie(by, found.household),
            "job": found.typical_job,
        },
    )


@power("repair.see")
def one_check_list(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    row = get_object_or_404(CheckList.objects.select_related("by"), pk=pk, repair__number=number)
    return render(request, "jobs/handback/checked.html", {"repair": repair_or_404(number), "row": row})


@power("repair.see")
def all_reminders(request: HttpRequest) -> HttpResponseBase:
    return book_list(
        request,
        ReminderTable,
        reminders(),
        ReminderFilter,
        "jobs/handback/reminders.html",
        filename="reminders",
    )


@power("handback.record")
def reminder(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(reminders(), pk=pk)
    return form_page(
        request,
        ReminderForm(**posted(request)),
        lambda data: actions_handback.finish_reminder(by=person_of(request), reminder=row, **data),
        template="jobs/handback/reminder.html",
        then=lambda done: (
            reverse("handback:comeback", args=[done.repair.number])
            if done.outcome == "back"
            else reverse("handback:reminders")
        ),
        done=lambda done: "Done. Check the vehicle in again here." if done.outcome == "back" else "Done.",
        context={"row": row, "repair": row.repair},
    )
