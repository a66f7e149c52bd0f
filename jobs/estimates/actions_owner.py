"""The vehicle's owner says yes to the work."""

from datetime import datetime

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput, NotReady
from fund.trail.actions import record
from jobs.estimates.models_owner import HOW, OwnerYes
from jobs.estimates.queries_owner import present_round, standing_lines
from jobs.estimates.rules import add_up
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder


@transaction.atomic
def owner_agrees(
    *, by: Person, repair: RepairOrder, name: str, how: str, called: str = "", at: datetime | None = None
) -> OwnerYes:
    """Write down that the owner was told the cause and what will be done, and agreed.

    A yes by word of mouth keeps day, time, name and the number called, as written-estimate laws ask of shops (California,
    Business and Professions Code 9884.9; common practice for a free crew). It is a yes to the cause and round as they stand
    now: another cause or a supplement needs another one. Refuses before the cause and the estimate are there.
    """
    require(by, "repair.write")
    hold(repair)
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    if not repair.cause or not repair.estimated_on:
        raise NotReady(
            f"Write the cause and the estimate of {repair.number} first, then tell the owner both."
        )
    if not name.strip():
        raise BadInput("Write who said yes.")
    if how not in dict(HOW):
        raise BadInput("Say how the owner agreed: signed, in person, or by phone.")
    if how == "phone" and not called.strip():
        raise BadInput("Write the number that was called.")
    moment = at or clock.now()
    if moment > clock.now():
        raise BadInput("The time you wrote has not come yet.")
    number = present_round(repair)
    row = OwnerYes.objects.create(
        repair=repair, round=number, at=moment, on=clock.today(), by=by, how=how, name=name.strip(),
        called=called.strip(), cause=repair.cause,
        cost=add_up(standing_lines(repair)).cost,
    )  # fmt: skip
    text = f"{repair.number}: the owner agreed ({dict(HOW)[how].lower()}) to the work on: {repair.cause}"
    record(by=by, action="owner.agree", subject=repair.number, text=text)
    return row
