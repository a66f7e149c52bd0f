from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import BadInput
from fund.trail.actions import record
from jobs.households.models import Household
from jobs.households.models_keep import PutRight
from jobs.households.rules_keep import DONE, SHOWED


@transaction.atomic
def put_right(
    *,
    by: Person,
    household: Household,
    showed: str,
    where: str,
    done: str,
    words: str = "",
    on: date | None = None,
) -> PutRight:
    """Write down that something went out by which a household could be known, and what was done: pulled, blurred, told anew.

    Done first, written after. A memo: the books and the published record hold no picture and no name, so nothing is
    posted and nothing published changes. Where and in which words is sealed; the trail names the alias alone. Refuses an
    unknown kind, no place, and a day to come.
    """
    require(by, "household.screen")
    on = on or clock.today()
    if showed not in SHOWED or done not in DONE:
        raise BadInput("Choose what was to be seen and what was done about it.")
    if not where.strip():
        raise BadInput("Write where it was to be seen.")
    if on > clock.today():
        raise BadInput(f"{on} has not come yet. Write it down once it is done.")
    row = PutRight.objects.create(
        household=household, showed=showed, where=where.strip(), done=done, words=words.strip(), on=on, by=by
    )
    text = f"Household {household.alias}: {SHOWED[showed]} was to be seen; {DONE[done]} on {on}."
    record(by=by, action="household.put_right", subject=household.code, text=text)
    return row
