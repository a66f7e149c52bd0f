"""The fund's own rules, applied to a request as it stands."""

from datetime import date

from django.db.models import Q

from fund import clock
from fund.commitments.queries import allowances
from fund.commitments.rules import Allowance
from fund.ledger.chart import COMEBACK, REPAIR_COST
from fund.ledger.queries import costs_of
from fund.money import Money
from fund.rulebook.queries import rules_on
from jobs.eligibility.models_second import RuleException
from jobs.eligibility.queries import assess_household
from jobs.eligibility.rules import Assessment
from jobs.eligibility.rules_exceptions import Agreed, with_exceptions
from jobs.eligibility.rules_facts import Facts, Finding, Help, Paper, Policy
from jobs.eligibility.rules_fund import findings
from jobs.households.models import Household
from jobs.households.queries_consent import consents_on
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import PROMISED


def policy_on(on: date) -> Policy:
    rules = rules_on(on)
    return Policy(**{name: rules[name] for name in Policy.__dataclass_fields__})


def rules_applied(
    application: Application,
    on: date | None = None,
    *,
    assessment: Assessment | None = None,
    cost: Money | None = None,
    repair: RepairOrder | None = None,
) -> list[Finding]:
    """Every rule for a request on a day, exceptions included. ``cost`` is an estimate without core deposits.

    ``repair`` is the one that is decided on: its vehicle counts, and it is no help given before. Without it the
    request is decided on: the household's latest vehicle counts, and no repair of this request. Constant queries.
    """
    on = on or clock.today()
    facts = facts_of(application, on, assessment or assess_household(application.household, on), cost, repair)
    return with_exceptions(findings(facts, policy_on(on)), agreed_for(application), cost)


def facts_of(
    application: Application,
    on: date,
    assessment: Assessment,
    cost: Money | None,
    repair: RepairOrder | None,
) -> Facts:
    household = application.household
    vehicles = list(household.vehicles.order_by("-pk"))
    vehicle = repair.vehicle if repair else vehicles[0] if vehicles else None
    papers = household.sightings.filter(on__lte=on)
    return Facts(
        on=on,
        within=assessment.within,
        sentence=assessment.sentence,
        program=household.program,
        incomes=tuple(household.incomes.order_by("pk").values_list("kind", flat=True)),
        no_income_words=household.no_income_words,
        papers=tuple(Paper(row.kind, row.document_date, row.expires_on, row.vehicle_id) for row in papers),
        answers=application.answers,
        consents=consents_on(application, on),
        helped=tuple(helped(household, application, repair)),
        title=vehicle.title if vehicle else "",
        vehicle=vehicle.pk if vehicle else None,
        only_vehicle=len(vehicles) <= 1,
        registered_on=vehicle.registered_on if vehicle else None,
        value=vehicle.value if vehicle else None,
        cost=cost,
    )


def helped(
    household: Household, request: Application | None = None, repair: RepairOrder | None = None
) -> list[Help]:
    """The repairs a household was given or promised, each with what it cost and what is still promised to it.

    Left out is what is decided on: ``repair``, or the repairs of ``request`` where there is none yet. A comeback is the
    fund's own work made good and no further help. A request that was helped counts even where no repair is on record.
    """
    orders = RepairOrder.objects.filter(household=household, comeback=None).filter(
        Q(state__in=PROMISED) | Q(handed_back_on__isnull=False)
    )
    requests = household.applications.filter(state="helped")
    if repair is not None:
        orders, requests = orders.exclude(pk=repair.pk), requests.exclude(pk=repair.application_id)
    elif request is not None:
        orders, requests = orders.exclude(application=request), requests.exclude(pk=request.pk)
    rows = list(orders.order_by("number"))
    numbers = [order.number for order in rows]
    spent = costs_of(numbers, accounts=[code for code in REPAIR_COST if code != COMEBACK])
    promised = allowances(numbers)
    found = [
        Help(
            order.number,
            order.handed_back_on or order.approved_on or order.opened_on,
            spent.get(order.number, Money.zero) + promised.get(order.number, Allowance()).open,
        )
        for order in rows
    ]
    on_record = {order.application_id for order in rows}
    return found + [
        Help(row.code, row.helped_on, Money.zero)
        for row in requests.order_by("pk")
        if row.helped_on is not None and row.pk not in on_record
    ]


def agreed_for(application: Application) -> list[Agreed]:
    rows = application.exceptions.filter(agreed=True).select_related("asked_by", "answered_by").order_by("pk")
    return [
        Agreed(
            row.rule,
            row.reason,
            (row.asked_by.label, row.answered_by.label if row.answered_by else ""),
            row.up_to,
        )
        for row in rows
    ]


def open_exceptions(application: Application) -> list[RuleException]:
    return list(application.exceptions.filter(agreed=None).select_related("asked_by"))
