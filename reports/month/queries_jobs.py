"""What the help side says of a month: repairs, hours, and how many asked. Constant numbers of queries."""

from datetime import date

from django.db.models import Q, Sum

from fund.commitments.queries import open_commitments
from fund.ledger.models import CostObject
from fund.ledger.queries import costs_of
from fund.ledger.rules import first_day, last_day
from fund.money import Money
from jobs.approvals.models import Approval
from jobs.eligibility.queries import asking_in_month
from jobs.handback.queries_proof import counted_comebacks, first_time_given
from jobs.hours.models import HoursEntry, Rate
from jobs.households.models import Household
from jobs.repairs.models import RepairOrder
from reports.month.models import PublicWording
from reports.month.queries_ledger import cores_still_out
from reports.month.rules import RepairLine, Row, Steps, state_on, story
from reports.month.rules_figures import Counts, HoursRow
from reports.month.rules_labels import ACCOUNT_LABELS
from reports.month.rules_privacy import Private


def repairs_of_month(month: str, costs: dict[str | None, dict[str, Money]]) -> list[RepairLine]:
    """One line for each repair that cost something, took hours, ended, or was promised money in the month.

    ``costs`` is what the month's lines say by cost object (:func:`queries_ledger.repair_costs`).
    """
    start, end = first_day(month), last_day(month)
    promised = {item.cost_object.code: item.amount for item in open_commitments(end)}
    hours = hours_by_number(start, end)
    wanted = {code for code in costs if code} | set(promised) | set(hours)
    orders = RepairOrder.objects.filter(
        Q(number__in=wanted)
        | Q(handed_back_on__range=(start, end))
        | Q(stopped_on__range=(start, end), state="diagnosed, not repaired")
    ).order_by("number")
    found = {order.number: order for order in orders}
    numbers = sorted(wanted | set(found))
    to_date = costs_of(numbers, end)
    cores = cores_still_out(numbers, month)
    ratified = ratified_by_number(start, end)
    wordings = latest_wordings(numbers)
    labels = dict(CostObject.objects.filter(code__in=wanted - set(found)).values_list("code", "label"))
    lines = []
    for number in numbers:
        order = found.get(number)
        rows = tuple(
            Row(code, ACCOUNT_LABELS[code], amount)
            for code, amount in sorted(costs.get(number, {}).items())
            if amount
        )
        line = RepairLine(
            number=number,
            alias=order.alias if order else labels[number],
            vehicle=order.vehicle_class if order else "",
            job=order.job_type if order else "",
            story=wordings.get(number)
            or (story(order.complaint, order.cause, order.correction) if order else ""),
            state=state_on(_steps(order), end) if order else "",
            costs=rows,
            cost_to_date=to_date.get(number, Money.zero),
            promised=promised.get(number, Money.zero),
            cores_out=cores.get(number, Money.zero),
            clock_tenths=hours.get(number, 0),
            book_tenths=order.book_hours if order else None,
            ratified=ratified.get(number, Money.zero),
        )
        lines.append(line)
    return lines


def latest_wordings(numbers: list[str]) -> dict[str, str]:
    """The public wording last written for each repair, where someone wrote one."""
    rows = PublicWording.objects.filter(repair__in=numbers).order_by("id").values_list("repair", "text")
    return dict(rows)


def repair_told(number: str) -> tuple[str, str] | None:
    """Alias of a repair and what its public line says now, or None where there is no such repair order."""
    order = RepairOrder.objects.filter(number=number).first()
    if order is None:
        return None
    told = latest_wordings([number]).get(number) or story(order.complaint, order.cause, order.correction)
    return order.alias, told


def _steps(order: RepairOrder) -> Steps:
    return Steps(
        estimated=order.estimated_on,
        approved=order.approved_on,
        started=order.started_on,
        tested=order.tested_on,
        handed_back=order.handed_back_on,
        stopped=order.stopped_on,
        stopped_as=order.state,
    )


def ratified_by_number(start: date, end: date) -> dict[str, Money]:
    """What was ratified in a span of days, by repair number."""
    rows = Approval.objects.filter(kind="ratification", on__range=(start, end)).order_by()
    return dict(rows.values_list("repair__number").annotate(sum=Sum("amount")))


def hours_by_number(start: date, end: date) -> dict[str, int]:
    """Clock hours (tenths) counted in a span of days, by repair number."""
    rows = (
        HoursEntry.objects.filter(counted_on__range=(start, end), repair__isnull=False)
        .order_by()
        .values_list("repair__number")
        .annotate(sum=Sum("tenths"))
    )
    return {number: tenths for number, tenths in rows if tenths}


def hours_of_month(month: str) -> list[HoursRow]:
    """Donated hours counted in the month, by skill and rate; skilled first."""
    days = (first_day(month), last_day(month))
    rows = (
        HoursEntry.objects.filter(counted_on__range=days)
        .order_by("-skill__skilled", "skill__name", "rate")
        .values_list("skill_id", "skill__name", "rate")
        .annotate(tenths_sum=Sum("tenths"))
        .annotate(value_sum=Sum("value"))
    )
    basis = {(rate.skill_id, rate.amount): rate for rate in Rate.objects.order_by("valid_from", "id")}
    found = []
    for skill, name, rate, tenths, value in rows:
        stated = basis.get((skill, rate))
        words = f"{stated.basis} ({stated.source})" if stated else ""
        if tenths:
            found.append(HoursRow(name, tenths, rate, value or Money.zero, words))
    return found


def counts_of_month(month: str) -> Counts:
    """How many asked, were declined, still waited at the end; helped means handed back in the month.

    A comeback is no further household helped; it is counted apart, on the day it was told of.
    """
    start, end = first_day(month), last_day(month)
    asking = asking_in_month(start, end)
    return Counts(
        asked=asking.asked,
        waiting=asking.waiting,
        helped=first_time_given(start, end),
        declined=asking.not_eligible,
        comebacks=counted_comebacks(start, end),
    )


def private_values() -> list[Private]:
    """Everything about every household that may not be published. Runs before publishing only:
    three queries for each 2,000 households, and every value is unsealed."""
    found = []
    for house in Household.objects.prefetch_related("members", "vehicles").iterator(2000):
        vehicles = list(house.vehicles.all())
        found.append(
            Private(
                alias=house.alias,
                names=(house.applicant_name, *(member.name for member in house.members.all())),
                phones=(house.phone,),
                streets=(house.address,) if house.address.strip() else (),
                plates=tuple(vehicle.plate for vehicle in vehicles),
                vins=tuple(vehicle.vin for vehicle in vehicles),
            )
        )
    return found
