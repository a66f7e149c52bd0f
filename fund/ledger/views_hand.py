from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fund.access.guards import power
from fund.ledger.actions_hand import post_by_hand, reverse_by_hand
from fund.ledger.forms import HandEntryForm, HandLines, ReasonForm
from fund.ledger.models import Entry
from fund.ledger.rules_hand import HAND
from fund.pages import attempt, form_page, person_of, posted
from fund.sent.once import once, sent_before


def posted_words(entry: Entry) -> str:
    """That it is posted, and where it counts if that is not its own day."""
    if entry.posting_date == entry.document_date:
        return f"Entry {entry.number} is posted."
    return (
        f"Entry {entry.number} is posted. Its month {entry.document_date:%Y-%m} is closed, so it counts on"
        f" {entry.posting_date} and is told as a later change; its own day {entry.document_date} is kept beside it."
    )


@power("books.post")
def post_entry(request: HttpRequest) -> HttpResponse:
    form, rows = HandEntryForm(**posted(request)), HandLines(data=request.POST or None, prefix="line")
    if again := sent_before(request, form):
        return again
    if request.method == "POST" and form.is_valid() & rows.is_valid():
        lines = [line for row in rows if (line := row.draft())]
        cleaned = form.cleaned_data
        led = attempt(
            request,
            form,
            lambda: once(
                request,
                form,
                lambda: post_by_hand(by=person_of(request), lines=lines, **cleaned),
                lambda made: reverse("ledger:entry", args=[made.number]),
                posted_words,
            ),
        )
        if led:
            messages.success(request, led.words)
            return redirect(led.address)
    status = 422 if form.errors or any(rows.errors) else 200
    return render(request, "fund/ledger/post_entry.html", {"form": form, "rows": rows}, status=status)


@power("books.post")
def reverse_entry(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry, number=number, kind=HAND)
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: reverse_by_hand(by=person_of(request), entry=entry, **cleaned),
        template="fund/ledger/reverse_entry.html",
        then=lambda mirror: reverse("ledger:entry", args=[mirror.number]),
        done=lambda mirror: f"Entry {number} is reversed by entry {mirror.number}.",
        context={
            "entry": entry,
            "consequences": [f"A new entry cancels entry {number} line by line.", "Both stay."],
        },
    )
