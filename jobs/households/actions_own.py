from django.db import transaction

from fund.access.guards import require
from fund.access.models import Person
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.models import Household
from jobs.households.queries_own import own_data


@transaction.atomic
def hand_over_data(*, by: Person, household: Household) -> str:
    """The household's own data as a readable file, for the household. Every handing over leaves a line in the trail."""
    require(by, "household.papers")
    refuse_tie(by, household)
    text = own_data(household)
    words = f"The data of household {household.code} ({household.alias}) made into a file for it."
    record(by=by, action="household.data", subject=household.code, text=words)
    return text
