from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fund.access.guards import may, power
from fund.forms import BookForm
from fund.pages import form_page, person_of, posted
from jobs.eligibility.ties import refuse_reading
from jobs.households.actions_merge import say_different
from jobs.households.identity import Identity, Someone
from jobs.households.models import Household
from jobs.intake.actions_same import merge_households, unmerge_households
from jobs.intake.forms_parts import PersonPart, VehiclePart
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from jobs.intake.queries_same import suspects, suspects_of


class ReasonForm(BookForm):
    reason = forms.CharField(
        label="Why",
        help_text="Kept for the next person who wonders.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class SameForm(ReasonForm):
    answer = forms.ChoiceField(
        label="Are they one household?",
        choices=[("same", "Yes, it is the same household."), ("different", "No, these are two households.")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    field_order = ["answer", "reason"]


@power("household.screen")
def same(request: HttpRequest, code: str, household: str) -> HttpResponse:
    """Two records side by side: put together, or said to be two. The older record is the one that stays."""
    application = get_object_or_404(Application.objects.select_related("household"), code=code)
    pair = sorted(
        (application.household, get_object_or_404(Household, code=household)), key=lambda row: row.pk
    )
    kept, other = pair
    for row in pair:
        refuse_reading(person_of(request), row)
    found = [row.reasons for row in suspects(kept) if row.household.pk == other.pk]
    context: dict[str, Any] = {
        "application": application,
        "kept": kept,
        "other": other,
        "pair": [_told(row) for row in pair],
        "reasons": found[0] if found else [],
    }
    return form_page(
        request,
        SameForm(**posted(request)),
        lambda cleaned: _answer(request, kept, other, **cleaned),
        template="jobs/intake/same.html",
        then=lambda _: reverse("intake:request", args=[code]),
        done=lambda sentence: sentence,
        context=context,
    )


def _told(household: Household) -> dict[str, Any]:
    return {
        "household": household,
        "members": household.members.all(),
        "vehicles": household.vehicles.all(),
        "applications": household.applications.order_by("pk"),
    }


def _answer(request: HttpRequest, kept: Household, other: Household, answer: str, reason: str) -> str:
    by = person_of(request)
    if answer == "same":
        merge_households(by=by, kept=kept, other=other, reason=reason)
        return (
            f"{other.alias} is now part of {kept.alias}. Enter the people who belong there, and their income."
        )
    say_different(by=by, first=kept, second=other, reason=reason)
    return f"{kept.alias} and {other.alias} are two households. They are not shown as alike any more."


@power("household.screen")
def merged(request: HttpRequest, pk: int) -> HttpResponse:
    """Why two records were put together, and a way to part them again."""
    merging = get_object_or_404(
        Merging.objects.select_related("kept", "other", "by", "taken_back__by"), pk=pk
    )
    moved = [(kind, len(keys)) for kind, keys in merging.moved.items() if keys]
    return form_page(
        request,
        ReasonForm(**posted(request)),
        lambda cleaned: unmerge_households(by=person_of(request), merging=merging, **cleaned),
        template="jobs/intake/merged.html",
        then=lambda _: reverse("households:household", args=[merging.kept.code]),
        done=lambda _: f"{merging.other.alias} and {merging.kept.alias} are two households again.",
        context={"merging": merging, "moved": moved, "parted": getattr(merging, "taken_back", None)},
    )


class WhoAsks(PersonPart, VehiclePart):
    """What a request is typed with so far, whatever else of it is still wrong or empty."""

    def identity(self) -> Identity:
        self.full_clean()
        told = {"name": "", "birth_date": None} | self.cleaned_data
        people = (Someone(name=told["name"], birth_date=told["birth_date"]),) if told["name"] else ()
        names = {
            "phone": "phones",
            "email": "emails",
            "address": "addresses",
            "plate": "plates",
            "vin": "vins",
        }
        return Identity(people=people, **{many: (told[one],) for one, many in names.items() if told.get(one)})


@power("intake.enter")
@require_POST
def alike(request: HttpRequest) -> HttpResponse:
    """A piece of the page: who may have asked before, while a request is typed. By name only for who may see papers."""
    found = suspects_of(WhoAsks(request.POST).identity())
    papers = may(person_of(request), "household.papers")
    reasons = sorted({reason for row in found for reason in row.reasons})
    return render(request, "jobs/intake/alike.html", {"found": found, "reasons": reasons, "papers": papers})
