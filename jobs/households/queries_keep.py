from collections.abc import Iterator
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from fund.rulebook.queries import rules_on
from jobs.eligibility.models import EligibilityDecision
from jobs.households.models import Household, Income
from jobs.households.models_keep import Destruction, Hold
from jobs.households.models_papers import PaperCopy
from jobs.households.rules_keep import Due, Kept, Periods, due
from jobs.intake.models import Application
from jobs.intake.rules import OPEN_STATES
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED


def periods_on(on: date) -> Periods:
    rules = rules_on(on)
    return Periods(rules["keep_income_months"], rules["keep_helped_years"], rules["keep_declined_months"])


def due_on(on: date) -> Iterator[tuple[Household, list[Due]]]:
    """Households with what of them is due by a day. Reads them in batches; a few queries for each."""
    periods = periods_on(on)
    for household in _with_what_matters().iterator(500):
        found = due(_kept(household, on), periods, on)
        if found:
            yield household, found


def dues_of(household: Household, on: date) -> list[Due]:
    """When what of one household comes due, past and to come, by the rules as they stand."""
    found = _with_what_matters().filter(pk=household.pk).first()
    return due(_kept(found, on), periods_on(on), date.max) if found else []


def _with_what_matters() -> QuerySet[Household]:
    here = {"household": OuterRef("pk")}
    decisions = EligibilityDecision.objects.defer("snapshot", "words")
    applications = Application.objects.prefetch_related(Prefetch("decisions", decisions))
    return (
        Household.objects.filter(forgotten_on=None, merged_into=None)
        .only("pk", "code", "alias", "entered_on")
        .annotate(
            held=Exists(Hold.objects.filter(lifted_on=None, **here)),
            has_incomes=Exists(Income.objects.filter(**here)),
            in_work=Exists(RepairOrder.objects.exclude(state__in=ENDED).filter(**here)),
        )
        .prefetch_related(
            Prefetch("applications", applications),
            Prefetch("sightings__copies", PaperCopy.objects.filter(deleted_on=None).defer("name")),
        )
        .order_by("pk")
    )


def _kept(household: Household, on: date) -> Kept:
    requests = list(household.applications.all())
    copies = [copy.delete_on for paper in household.sightings.all() for copy in paper.copies.all()]
    found: Household = household
    return Kept(
        open_requests=found.in_work or any(row.state in OPEN_STATES for row in requests),  # type: ignore[attr-defined]
        helped_on=[row.helped_on for row in requests if row.helped_on],
        ended_on=[_ended_on(row) for row in requests if row.state not in OPEN_STATES]
        or [household.entered_on],
        has_incomes=found.has_incomes,  # type: ignore[attr-defined]
        copies_due=copies,
        held=found.held,  # type: ignore[attr-defined]
    )


def _ended_on(application: Application) -> date:
    decided = [decision.on for decision in application.decisions.all()]
    ended = application.helped_on or application.withdrawn_on or application.submitted_on
    return max([ended, *decided])


def destruction_log() -> QuerySet[Destruction]:
    return Destruction.objects.select_related("household", "by").order_by("-pk")


def standing_hold(household: Household) -> Hold | None:
    return household.holds.filter(lifted_on=None).select_related("set_by").first()
