"""A published month with a comeback in it: counted apart, its parts on a line of their own, no further household helped."""

from datetime import date
from typing import Any

from django.test import Client

from fund import clock
from fund.money import Money
from fund.receipts.models import Receipt
from jobs.approvals.actions import approve
from jobs.approvals.actions_relations import answer_relation
from jobs.estimates.actions import set_estimate
from jobs.handback.actions_comeback import open_comeback
from jobs.repairs.actions import set_cause
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from reports.month.actions import close_month, publish_month
from reports.month.models import PublishedMonth
from tests.fund.receipts.makers import bought, line, paper
from tests.jobs.workshop import owner_says_yes, part, walked_round
from tests.reports.month.march import Crew
from tests.reports.month.told.test_publish_month import record

DAY = date(2026, 3, 31)


def came_back(crew: Crew, original: RepairOrder) -> Receipt:
    """Household A's brakes grind again the same day; new pads for 30.00."""
    row = open_comeback(by=crew.volunteer, original=original, complaint="Grinds again", mileage_in=148_020)
    walked_round(crew.volunteer, row.repair)
    again = set_cause(by=crew.volunteer, repair=row.repair, cause="Pads glazed")
    set_estimate(by=crew.volunteer, repair=again, lines=part(30_00, "pads"))
    owner_says_yes(crew.volunteer, again)
    for person in (crew.volunteer, crew.owner):
        answer_relation(by=person, repair=again, tie=False)
    approve(by=crew.owner, repair=again)
    start_work(by=crew.volunteer, repair=again)
    pads = line("pads", "30.00", ("comeback", again.number))
    return bought(crew.volunteer, paper(crew.volunteer, "30.00", "0.00", pads, number="again", on=DAY))


def published_with_comeback(crew: Crew, original: RepairOrder) -> PublishedMonth:
    with clock.at(DAY):
        came_back(crew, original)
    with clock.at(date(2026, 4, 3)):
        close_month(by=crew.treasurer, month="2026-03")
        return publish_month(by=crew.owner, month="2026-03")


def test_a_comeback_is_told_beside_the_households_helped(
    orders: dict[str, RepairOrder], crew: Crew, client: Client
) -> None:
    """Four were helped in that month without the comeback, and four are with it."""
    told: dict[str, Any] = record(published_with_comeback(crew, orders["A"]))
    assert (told["counts"]["helped"], told["counts"]["comebacks"]) == (4, 1)
    lines = [row for row in told["repairs"] if row["job"].startswith("Comeback")]
    assert [[cost["key"] for cost in row["costs"]] for row in lines] == [["5060"]]
    page = client.get("/months/2026-03/").content.decode()
    assert "Parts to make a repair good again" in page
    assert "RO-00" not in page


def test_what_help_cost_before_stays_the_same(orders: dict[str, RepairOrder], crew: Crew) -> None:
    with clock.at(DAY):
        came_back(crew, orders["A"])
    lines = orders["A"].cost_object.lines.filter(account__in=("5000", "5060"))
    assert sum((row.amount for row in lines), Money.zero) == Money(182_29)
