from collections.abc import Iterator
from datetime import date, timedelta

from django.db.models import Exists, F, Max, Model, OuterRef, Prefetch, Q, QuerySet

from fund.rulebook.queries import rules_on
from jobs.eligibility.models import EligibilityDecision
from jobs.households.models import Household, Income
from jobs.households.models_keep import ConsentChange, Destruction, Hold
from jobs.households.models_papers import PaperCopy
from jobs.households.rules_keep import Asked, Due, Kept, Periods, due
from jobs.intake.models import Application
from jobs.intake.rules import OPEN_STATES
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED


def _periods_on(on: date) -> tuple[Periods, timedelta]:
    """How long things are kept; and how long papers that were asked for are waited for: as long as a yes is good."""
    rules = rules_on(on)
    periods = Periods(rules["keep_income_months"], rules["keep_helped_years"], rules["keep_declined_months"])
    return periods, timedelta(days=rules["decision_days"])


def whole(household: Household) -> QuerySet[Household]:
    """The record that a household has become and all that were merged into it, that one first: kept as one, held as one."""
    became = household.merged_into_id or household.pk
    return Household.objects.filter(Q(pk=became) | Q(merged_into=became)).order_by(
        F("merged_into").asc(nulls_first=True), "pk"
    )


def due_on(on: date) -> Iterator[tuple[Household, list[Due]]]:
    """Households with what of them is due by a day. Reads them in batches; a few queries for each."""
    periods, patience = _periods_on(on)
    for household in _with_what_matters().iterator(500):
        found = due(_kept(household, on, patience), periods, on)
        if found:
            yield household, found


def dues_of(household: Household, on: date, until: date = date.max) -> list[Due]:
    """When what of one household comes due up to ``until``, past and to come, as it stands on a day."""
    periods, patience = _periods_on(on)
    found = _with_what_matters().filter(pk=household.pk).first()
    return due(_kept(found, on, patience), periods, until) if found else []


def _with_what_matters() -> QuerySet[Household]:
    decisions = EligibilityDecision.objects.defer("snapshot", "words")
    copies = PaperCopy.objects.filter(deleted_on=None).defer("name")
    applications = Application.objects.annotate(stopped_on=Max("repairs__stopped_on")).prefetch_related(
        Prefetch("decisions", decisions),
        Prefetch("consent_changes", ConsentChange.objects.order_by("pk").defer("words")),
    )
    return (
        Household.objects.filter(forgotten_on=None, merged_into=None)
        .only("pk", "code", "alias", "entered_on")
        .annotate(
            held=_theirs(Hold.objects.filter(lifted_on=None)),
            has_incomes=_theirs(Income.objects.all()),
            in_work=Exists(RepairOrder.objects.exclude(state__in=ENDED).filter(household=OuterRef("pk"))),
        )
        .prefetch_related(
            Prefetch("applications", applications),
            Prefetch("merged", Household.objects.only("pk", "merged_into")),
            Prefetch("sightings__copies", copies),
            Prefetch("merged__sightings__copies", copies),
        )
        .order_by("pk")
    )


def _theirs(rows: QuerySet[Model]) -> Q:
    """Whether there are such rows of a household or of one merged into it; in two parts, so that each uses its index."""
    return Q(Exists(rows.filter(household=OuterRef("pk")))) | Q(
        Exists(rows.filter(household__merged_into=OuterRef("pk")))
    )


def _kept(household: Household, on: date, patience: timedelta) -> Kept:
    requests = list(household.applications.all())
    papers = [paper for row in (household, *household.merged.all()) for paper in row.sightings.all()]
    seen = max((paper.on for paper in papers), default=date.min)
    ends = [_asked(row, seen, on, patience).ended_on(on) for row in requests]
    found: Household = household
    return Kept(
        open_requests=found.in_work or None in ends,  # type: ignore[attr-defined]
        helped_on=[row.helped_on for row in requests if row.helped_on],
        ended_on=[end for row, end in zip(requests, ends, strict=True) if end and not row.helped_on]
        if requests
        else [household.entered_on],
        has_incomes=found.has_incomes,  # type: ignore[attr-defined]
        copies_due=[copy.delete_on for paper in papers for copy in paper.copies.all()],
        held=found.held,  # type: ignore[attr-defined]
    )


def _asked(application: Application, seen: date, on: date, patience: timedelta) -> Asked:
    """One request; ``seen`` is the day on which a paper of the household was seen last."""
    decisions = sorted(application.decisions.all(), key=lambda row: row.pk)
    stopped = [application.stopped_on] if application.stopped_on else []  # type: ignore[attr-defined]
    closed = application.helped_on or application.withdrawn_on or application.submitted_on
    last = max([closed, *stopped, *(row.on for row in decisions)])
    good = decisions[-1].valid_until if decisions and application.state == "eligible" else None
    if decisions and application.state == "more papers needed":
        last = max(last, seen)
        good = last + patience
    changes = [row for row in application.consent_changes.all() if row.key == "data" and row.on <= on]
    return Asked(
        is_open=application.state in OPEN_STATES,
        last_on=last,
        good_until=good,
        stopped_on=changes[-1].on if changes and not changes[-1].given else None,
    )


def destruction_log() -> QuerySet[Destruction]:
    return Destruction.objects.select_related("household", "by").order_by("-pk")


def standing_hold(household: Household) -> Hold | None:
    """A hold on any record of a household stops the destruction of all of them. The oldest, where several stand."""
    holds = Hold.objects.filter(household__in=whole(household), lifted_on=None)
    return holds.select_related("set_by").order_by("pk").first()
