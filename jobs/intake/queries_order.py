"""The waiting order as the database computes it: the same points as rules_order, for any number of requests."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Case, F, IntegerField, Q, QuerySet, Value, When
from django.db.models.functions import Greatest

from fund import clock
from fund.rulebook.queries import rules_on
from jobs.intake.models import Application
from jobs.intake.rules import OPEN_STATES
from jobs.intake.rules_order import (
    DEPENDENCE_LEVELS,
    NEED_LEVELS,
    Part,
    Weights,
    explained,
    parts,
)


def weights_on(on: date | None = None) -> Weights:
    rules = rules_on(on)
    names = ("safety", "need", "dependence", "day")
    return Weights(**{name: rules[f"wait_{name}"] for name in names})


def with_points(
    rows: QuerySet[Application], on: date | None = None, only: Q | None = None
) -> QuerySet[Application]:
    """The rows, each with its ``points`` on a day (default today); rows outside ``only`` stand at 0."""
    on = on or clock.today()
    weights = weights_on(on)
    days = Greatest(Value(on.toordinal()) - F("asked_day"), Value(0), output_field=IntegerField())
    whole: Any = (
        _level("drivable", {"unsafe": weights.safety})
        + _level("need", {name: weights.need * level for name, level in NEED_LEVELS.items()})
        + _level("other_way", {name: weights.dependence * level for name, level in DEPENDENCE_LEVELS.items()})
        + days * Value(weights.day)
    )
    if only is not None:
        whole = Case(When(only, then=whole), default=Value(0), output_field=IntegerField())
    return rows.annotate(points=whole)


def _level(column: str, given: dict[str, int]) -> Case:
    cases = [When(**{column: value}, then=Value(points)) for value, points in given.items()]
    return Case(*cases, default=Value(0), output_field=IntegerField())


def by_points(rows: QuerySet[Application], on: date | None = None) -> QuerySet[Application]:
    """The rows in the stated waiting order, each with its ``points``."""
    ordered: Any = with_points(rows, on)
    found: QuerySet[Application] = ordered.order_by("-points", "submitted_on", "code")
    return found


@dataclass(frozen=True)
class Place:
    """Where a request stands among all that wait on a day, and why."""

    number: int
    of: int
    parts: list[Part]

    @property
    def sentence(self) -> str:
        return f"Place {self.number} of {self.of}. {explained(self.parts)}"


def place_of(application: Application, on: date | None = None) -> Place | None:
    """The place of an open request among those without a repair order; None when it does not wait. Four queries."""
    on = on or clock.today()
    if not application.is_open or application.repairs.exists():
        return None
    waiting: Any = with_points(Application.objects.filter(state__in=OPEN_STATES, repairs__isnull=True), on)
    own = parts(application.waiting, weights_on(on), on)
    mine = sum(part.points for part in own)
    earlier = Q(submitted_on__lt=application.submitted_on) | Q(
        submitted_on=application.submitted_on, code__lt=application.code
    )
    before = waiting.filter(Q(points__gt=mine) | (Q(points=mine) & earlier)).count()
    return Place(before + 1, waiting.count(), own)
