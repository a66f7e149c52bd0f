from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from fund import clock
from fund.access.guards import may, power
from fund.access.models import Person
from fund.pages import form_page, person_of, posted
from fund.rulebook.queries import rule
from jobs.handback import actions, queries
from jobs.handback.actions import Observed
from jobs.handback.actions_handback import hand_back as give_keys
from jobs.handback.care import care_of
from jobs.handback.forms import HandBackForm, RoadTestForm
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.queries_proof import (
    as_drafts,
    check_list_of,
    fluids_charged,
    goes_untested,
)
from jobs.handback.rules import SAFETY_LINES, Lack, Result, ask_at_least, times
from jobs.handback.rules_proof import codes_in, fluid_warnings
from jobs.handback.sheet import kept_or_redrawn
from jobs.hours.queries_book import to_explain
from jobs.repairs.models import RepairOrder
from jobs.repairs.pages import repair_or_404
from jobs.repairs.queries_bounds import bounds_of
from jobs.signing.rules import svg_path
from jobs.vehicles.queries_checkin import check_in_of

DECIDING = (
    "on",
    "driver",
    "odometer_out",
    "odometer_in",
    "minutes",
    "route",
    "complaint_returned",
    "result",
    "note",
    "fluids",
)


@power("roadtest.record")
def road_test(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    last = queries.last_road_test(found)
    factor = rule("road_test_factor_tenths")
    start = {
        "on": clock.today(),
        "driver": person_of(request).username,
        "odometer_out": last.odometer_in if last else found.mileage_in,
        "codes_before": _codes_at_the_door(found),
    }
    return form_page(
        request,
        RoadTestForm(initial=start, **posted(request)),
        lambda data: _sign(person_of(request), found, data),
        template="jobs/handback/road_test.html",
        then=lambda _: reverse("repairs:repair", args=[number]),
        done=lambda test: f"Road test signed: {test.result}.",
        context={
            "repair": found,
            "tests": queries.road_tests(found),
            "at_least": ask_at_least(
                found.intermittent,
                found.owner_minutes_to_failure,
                found.owner_miles_to_failure,
                factor,
            ),
            "times": times(factor).strip(" ()"),
            "charged": fluids_charged(found),
            "own_work": person_of(request).pk in queries.did_the_work(found),
            "bounds": bounds_of(found),
        },
    )


def _codes_at_the_door(found: RepairOrder) -> str:
    """What was read before anything was cleared, to begin the codes with."""
    door = check_in_of(found)
    return " ".join(codes_in(f"{door.codes} {door.freeze_frame}")) if door else ""


def _sign(by: Person, repair: RepairOrder, data: dict[str, Any]) -> RoadTest:
    safety = {name: data.pop(name) for name, _ in SAFETY_LINES}
    reason = data.pop("same_person_reason")
    deciding = {name: data.pop(name) for name in DECIDING}
    return actions.record_road_test(
        by=by,
        repair=repair,
        safety=safety,
        observed=Observed(**data),
        same_person_reason=reason,
        **deciding,
    )


@power("repair.see")
def one_road_test(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    found = repair_or_404(number)
    test = queries.road_tests(found).filter(pk=pk).first()
    if test is None:
        raise Http404
    lines = [(words, getattr(test, name)) for name, words in SAFETY_LINES]
    context = {"repair": found, "test": test, "lines": lines, "fluids": test.fluids.all()}
    return render(request, "jobs/handback/test.html", context)


@power("handback.record")
def hand_back(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    if queries.hand_back_of(found):
        return redirect("handback:sheet", number)
    test = queries.last_road_test(found)
    start = {"on": clock.today(), "odometer": test.odometer_in if test else found.mileage_in}
    ask = test is not None and test.result == Result.NOT_DUPLICATED
    return form_page(
        request,
        HandBackForm(initial=start, ask_owner=ask, **posted(request)),
        lambda data: give_keys(by=person_of(request), repair=found, **data),
        template="jobs/handback/hand_back.html",
        then=lambda row: reverse("handback:sheet", args=[number]),
        done=lambda row: f"{number} handed back. The owner owes $0.00.",
        context=_before_keys(found, test),
    )


def _before_keys(found: RepairOrder, test: RoadTest | None) -> dict[str, Any]:
    """What the page of a hand-back shows above its form."""
    fluids = as_drafts(test.fluids.all()) if test else []
    return {
        "repair": found,
        "lacks": [(lack.text, _page_of(lack, found)) for lack in queries.what_is_missing(found)],
        "test": test,
        "checked": check_list_of(found),
        "untested": goes_untested(found),
        "bounds": bounds_of(found),
        "fluid_warnings": fluid_warnings(fluids, fluids_charged(found)),
        "undone": queries.left_undone(found),
        "care": care_of(found, test),
        "figures": queries.figures(found),
        "passed": to_explain(found),
    }


def _page_of(lack: Lack, found: RepairOrder) -> str:
    return reverse(lack.page, args=[found.number]) if lack.page else ""


@power("repair.see")
def sheet(request: HttpRequest, number: str) -> HttpResponse:
    found = repair_or_404(number)
    row = queries.hand_back_of(found)
    if row is None:
        return redirect("repairs:repair", number)
    sees = may(request.user, "household.papers")
    context = {
        "repair": found, "row": row, "reminders": found.reminders.all(),
        "signature": svg_path(row.drawn) if sees and row.drawn else "", "signed_by": row.signed_by if sees else "",
    }  # fmt: skip
    return render(request, "jobs/handback/sheet.html", context)


@power("repair.see")
def sheet_pdf(request: HttpRequest, number: str) -> HttpResponse:
    row = HandBack.objects.filter(repair__number=number).first()
    if row is None:
        raise Http404
    response = HttpResponse(kept_or_redrawn(row), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{number}-hand-back.pdf"'
    return response
