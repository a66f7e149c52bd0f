from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import OuterRef, Q, QuerySet, Subquery

from fund import clock
from fund.money import Money
from fund.refusal import NotReady
from fund.rulebook.queries import rules_on
from jobs.eligibility.models import EligibilityDecision, GuidelineTable
from jobs.eligibility.rules import (
    GUIDELINE,
    Assessment,
    Table,
    assess,
    guideline,
    percent_band,
    table_in_use,
)
from jobs.eligibility.rules_methods import Method
from jobs.households.models import Household
from jobs.households.queries import income_facts, size_of
from jobs.households.rules import IncomeFacts
from jobs.intake.models import Application
from jobs.intake.queries import AskingInMonth
from jobs.intake.queries_order import by_points
from jobs.repairs.models import RepairOrder


def guideline_for(area: str, size: int, on: date) -> Money:
    """The yearly guideline of an area and household size by the table in use on a day."""
    return guideline(table_in_use(_tables(GUIDELINE), area, on), size)


def _tables(line: str) -> list[Table]:
    return [row.table for row in GuidelineTable.objects.filter(line=line)]


def assess_household(household: Household, on: date | None = None) -> Assessment:
    """The arithmetic for a household as it is entered now, by the table, percent and method in use on a day."""
    return assess_told(household, income_facts(household), on)


def assess_told(household: Household, incomes: Sequence[IncomeFacts], on: date | None = None) -> Assessment:
    """The same for incomes that are typed but not entered yet."""
    on = on or clock.today()
    rules = rules_on(on)
    line = rules["income_line"]
    area = household.area if line == GUIDELINE else household.district
    table = table_in_use(_tables(line), area, on, line)
    method = Method(rules["income_method"], rules["income_rounding"])
    return assess(incomes, size_of(household), table, rules["guideline_percent"], method)


def latest_decision(application: Application) -> EligibilityDecision | None:
    """The last decision on an application; earlier ones stay as they were."""
    return application.decisions.select_related("decided_by").order_by("-pk").first()


def refuse_taken_back(application: Application) -> None:
    """What the household itself took back stays closed, and nobody of the crew opens it again for them."""
    if application.withdrawn_on is not None:
        raise NotReady(
            f"The household took {application.code} back itself on {application.withdrawn_on}. If it asks again, take down a "
            "new request of this household and go on with that one."
        )


def standing_decision(application: Application, on: date | None = None) -> EligibilityDecision | None:
    """The latest decision if it says eligible and is still valid on a day, for where the household lives now."""
    decision = latest_decision(application)
    on = on or clock.today()
    if decision and moved_since(decision, application.household):
        return None
    fits = decision and decision.verdict == "eligible" and decision.valid_until and decision.on <= on
    return decision if decision and fits and decision.valid_until and decision.valid_until >= on else None


def moved_since(decision: EligibilityDecision, household: Household) -> bool:
    """Whether another income table counts where the household lives now than the one the decision used."""
    frozen = decision.snapshot or {}
    now = household.area if frozen.get("line", GUIDELINE) == GUIDELINE else household.district
    return bool(frozen.get("area", now) != now)


def eligible_applications(on: date | None = None) -> QuerySet[Application]:
    """Ready for a repair order: the latest decision says eligible, is in date, and no repair order is open yet.

    In the stated waiting order; each row also has ``points``, ``verdict`` and ``valid_until``.
    """
    on = on or clock.today()
    latest = EligibilityDecision.objects.filter(application=OuterRef("pk")).order_by("-pk")
    ready = (
        Application.objects.select_related("household")
        .annotate(
            verdict=Subquery(latest.values("verdict")[:1]),
            valid_until=Subquery(latest.values("valid_until")[:1]),
        )
        .filter(state="eligible", repairs__isnull=True)
        .filter(verdict="eligible", valid_until__gte=on)
    )
    return by_points(ready, on)


@dataclass(frozen=True)
class HouseholdFacts:
    """What an approver needs to know of a household, without its papers."""

    alias: str
    application: str
    size: int
    percent_band: str
    verdict: str
    decided_on: date | None
    decided_by: str
    valid_until: date | None
    in_date: bool
    past_repairs: int
    ties: list[str]


def household_facts(application: Application, on: date | None = None) -> HouseholdFacts:
    """Size, band of the guideline, verdict and ties from the latest decision; no name, income or paper.

    ``past_repairs`` counts the vehicles handed back to the household before, that of this request among them where it
    came back; a comeback itself is no further help. Where no repair is on record, a helped request counts.
    """
    on = on or clock.today()
    decision = latest_decision(application)
    snapshot = decision.snapshot if decision else None
    ties = application.relation_answers.filter(tie=True).select_related("person")
    return HouseholdFacts(
        alias=application.household.alias,
        application=application.code,
        size=int(snapshot["size"]) if snapshot else size_of(application.household),
        percent_band=(
            percent_band(Fraction(snapshot["annual_income"]), Money(snapshot["guideline"]))
            if snapshot
            else ""
        ),
        verdict=decision.verdict if decision else "not decided",
        decided_on=decision.on if decision else None,
        decided_by=decision.decided_by.label if decision else "",
        valid_until=decision.valid_until if decision else None,
        in_date=standing_decision(application, on) is not None,
        past_repairs=_past_repairs(application),
        ties=[answer.person.label for answer in ties],
    )


def _past_repairs(application: Application) -> int:
    given = RepairOrder.objects.filter(
        household=application.household_id, comeback=None, handed_back_on__isnull=False
    )
    only_said = Application.objects.filter(household=application.household_id, state="helped").exclude(
        pk__in=given.values("application")
    )
    return given.count() + only_said.exclude(pk=application.pk).count()


def asking_in_month(first: date, last: date) -> AskingInMonth:
    """Requests that came, were decided and were helped from ``first`` to ``last``, both days included."""
    decided = EligibilityDecision.objects.filter(on__range=(first, last))

    def requests_with(verdict: str) -> int:
        return decided.filter(verdict=verdict).values("application").distinct().count()

    taken_back = Q(pk__in=decided.filter(verdict="withdrawn").values("application"))
    return AskingInMonth(
        asked=Application.objects.filter(submitted_on__range=(first, last)).count(),
        eligible=requests_with("eligible"),
        not_eligible=requests_with("not eligible"),
        withdrawn=Application.objects.filter(taken_back | Q(withdrawn_on__range=(first, last))).count(),
        helped=Application.objects.filter(helped_on__range=(first, last)).count(),
        waiting=_still_open(last),
    )


def _still_open(on: date) -> int:
    """Requests asked by a day that were neither helped nor refused nor withdrawn by its end."""
    latest = EligibilityDecision.objects.filter(application=OuterRef("pk"), on__lte=on).order_by("-pk")
    return (
        Application.objects.filter(submitted_on__lte=on)
        .annotate(verdict_then=Subquery(latest.values("verdict")[:1]))
        .filter(Q(verdict_then=None) | Q(verdict_then__in=["eligible", "more papers needed"]))
        .exclude(helped_on__lte=on)
        .exclude(withdrawn_on__lte=on)
        .count()
    )
