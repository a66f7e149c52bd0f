"""Two records that seem to be one household: put together, or said to be two. Either way with a reason."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.actions_search import write_keys
from jobs.households.models import Household, Sighting
from jobs.households.models_search import DifferentHouseholds
from jobs.intake.models import Application
from jobs.repairs.models import RepairOrder
from jobs.vehicles.models import Vehicle


@transaction.atomic
def merge(*, by: Person, kept: Household, other: Household, reason: str) -> Household:
    """``other`` is the same household as ``kept``: its requests, repairs, vehicles and sighted papers move over.

    People and incomes stay on the record of ``other``; those who belong to the household are entered with ``kept``.
    Decisions stay as they were taken, aliases on repairs and published months too. It counts once from now on, and
    is found under what either record was known by. Refuses a merged or forgotten record, no reason, and a tie.
    """
    require(by, "household.screen")
    first, second = sorted((kept.pk, other.pk))
    rows = {row.pk: row for row in Household.objects.select_for_update().filter(pk__in=(first, second))}
    if len(rows) != 2:
        raise BadInput("Choose two different households.")
    kept, other = rows[kept.pk], rows[other.pk]
    for row in (kept, other):
        if row.merged_into_id is not None or row.forgotten_on is not None:
            raise AlreadyDone(f"{row.code} is no longer a record of its own. Choose the one it became.")
        refuse_tie(by, row)
    _need(reason)
    for model in (Application, RepairOrder, Vehicle, Sighting):
        model._default_manager.filter(household=other).update(household=kept)
    Household.objects.filter(merged_into=other).update(merged_into=kept)
    other.merged_into = kept
    other.save(update_fields=["merged_into"])
    other.search_keys.all().delete()
    write_keys(kept)
    text = f"{other.code} ({other.alias}) is the same household as {kept.code} ({kept.alias}) and is merged into it."
    record(by=by, action="household.merge", subject=kept.code, text=text, data={"merged": other.code})
    return kept


@transaction.atomic
def say_different(
    *, by: Person, first: Household, second: Household, reason: str, on: date | None = None
) -> DifferentHouseholds:
    """Two records that look alike are two households. They are no longer shown as alike. Refuses an empty reason and a tie."""
    require(by, "household.screen")
    for household in (first, second):
        refuse_tie(by, household)
    if first.pk == second.pk:
        raise BadInput("Choose two different households.")
    _need(reason)
    low, high = sorted((first, second), key=lambda row: row.pk)
    if DifferentHouseholds.objects.filter(first=low, second=high).exists():
        raise AlreadyDone("It was written down already that these are two households.")
    row = DifferentHouseholds.objects.create(
        first=low, second=high, reason=reason.strip(), by=by, on=on or clock.today()
    )
    text = f"{low.code} ({low.alias}) and {high.code} ({high.alias}) are two different households."
    record(by=by, action="household.different", subject=low.code, text=text, data={"other": high.code})
    return row


def _need(reason: str) -> None:
    if not reason.strip():
        raise BadInput("Write why, so that the next person who wonders can read it.")
