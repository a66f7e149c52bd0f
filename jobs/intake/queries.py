from dataclasses import dataclass
from typing import Any

from django.db.models import Case, F, IntegerField, Q, QuerySet, When

from fund.access.models import Person
from jobs.households.models import Household
from jobs.intake.models import Application
from jobs.intake.queries_order import by_points, with_points
from jobs.intake.rules import OPEN_STATES


def applications() -> QuerySet[Application]:
    """All requests: those still open first in the stated waiting order, then the others, newest first.

    Each row has its ``points`` of today; those no longer open stand at 0.
    """
    still = Q(state__in=OPEN_STATES)
    day = Case(When(still, then=F("asked_day")), default=-F("asked_day"), output_field=IntegerField())
    rows: Any = with_points(Application.objects.select_related("household"), only=still)
    found: QuerySet[Application] = rows.alias(still_open=still, day=day).order_by(
        "-still_open", "-points", "day", "code"
    )
    return found


def waiting_list() -> QuerySet[Application]:
    """Open requests without a repair order, in the stated order (rules_order)."""
    waiting = Application.objects.filter(state__in=OPEN_STATES, repairs__isnull=True)
    return by_points(waiting.select_related("household"))


def tied(person: Person, household: Household) -> bool:
    """Whether this person ever answered that they have a tie to the household."""
    return household.applications.filter(relation_answers__person=person, relation_answers__tie=True).exists()


@dataclass(frozen=True)
class AskingInMonth:
    """How many requests came and went in a month; ``waiting`` is the number still open at its end."""

    asked: int
    eligible: int
    not_eligible: int
    withdrawn: int
    helped: int
    waiting: int
