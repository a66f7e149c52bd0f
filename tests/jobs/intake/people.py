"""Invented households, made through the real actions."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from fund import clock
from fund.access.models import Person
from fund.money import Money
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.models import EligibilityDecision
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.models import Application
from jobs.intake.rules import QUESTIONS, Asking

CONSENTS = {"data": True, "work": True, "road test": True}
TWO_CHILDREN = [
    MemberFacts(name="Wilhelmina Quarrender", relation="applicant", adult=True, birth_year=1988),
    MemberFacts(name="Ottoline Quarrender", relation="child", birth_year=2015),
    MemberFacts(name="Barnaby Quarrender", relation="child", birth_year=2018),
]
PAY = IncomeFacts(kind="pay", period="two weeks", amount=Money(54_800))


def asking(**changes: Any) -> Asking:
    told: dict[str, Any] = {
        "name": "Wilhelmina Quarrender",
        "phone": "555 0142 77",
        "address": "19 Cooper's Row, Larkwater",
        "complaint": "Grinds when I brake.",
        "vehicle_year": 2011,
        "vehicle_class": "compact car",
        "consents": CONSENTS,
        "answers": dict.fromkeys(QUESTIONS, "yes"),
    }
    return Asking(**(told | changes))


def application_of_three(by: Person, **changes: Any) -> Application:
    on = changes.pop("submitted_on", None)
    return open_application(by=by, asking=asking(**changes), members=TWO_CHILDREN, submitted_on=on)


def ready_to_decide(
    by: Person, incomes: Sequence[IncomeFacts] = (PAY,), submitted_on: date | None = None
) -> Application:
    """A household of three with its income entered, a paper sighted and the relation question answered."""
    application = application_of_three(by, submitted_on=submitted_on)
    household = application.household
    replace_incomes(by=by, household=household, incomes=incomes)
    seen = submitted_on or clock.today()
    sight(by=by, household=household, kind="pay stub", document_date=seen - timedelta(days=9), on=seen)
    answer_relation(by=by, application=application, tie=False)
    return application


def eligible(by: Person, submitted_on: date | None = None, on: date | None = None) -> EligibilityDecision:
    return decide(
        by=by, application=ready_to_decide(by, submitted_on=submitted_on), verdict="eligible", on=on
    )
