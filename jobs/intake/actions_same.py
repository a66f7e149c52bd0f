"""Putting two records of one household together so that nothing of it is lost, and taking that back."""

from datetime import date
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.actions_merge import merge
from jobs.households.actions_search import write_keys
from jobs.households.models import Household, Sighting
from jobs.households.models_keep import Hold
from jobs.intake.models import Application
from jobs.intake.models_same import Merging, Unmerging
from jobs.intake.queries_same import suspects
from jobs.repairs.models import RepairOrder
from jobs.vehicles.models import Vehicle

MOVES: dict[str, Any] = {
    "requests": Application,
    "repairs": RepairOrder,
    "vehicles": Vehicle,
    "papers": Sighting,
}


@transaction.atomic
def merge_households(
    *, by: Person, kept: Household, other: Household, reason: str, on: date | None = None
) -> Merging:
    """``other`` is the same household as ``kept`` (see :func:`jobs.households.actions_merge.merge`).

    What moves over and why it was suspected is written down, so that :func:`unmerge_households` can give it back.
    Refuses what ``merge`` refuses.
    """
    require(by, "household.screen")
    why = [row.reasons for row in suspects(kept) if row.household.pk == other.pk]
    moved = {kind: _keys(model.objects.filter(household=other)) for kind, model in MOVES.items()}
    moved["records"] = _keys(Household.objects.filter(merged_into=other))
    merge(by=by, kept=kept, other=other, reason=reason)
    return Merging.objects.create(
        kept=kept,
        other=other,
        reasons=why[0] if why else [],
        reason=reason.strip(),
        moved=moved,
        on=on or clock.today(),
        by=by,
    )


def _keys(rows: Any) -> list[int]:
    return list(rows.order_by("pk").values_list("pk", flat=True))


@transaction.atomic
def unmerge_households(*, by: Person, merging: Merging, reason: str, on: date | None = None) -> Unmerging:
    """Two records that were put together are two households after all: each gets back what was its own.

    What came after the merging stays with the record that was kept, but for repairs of a request that goes back; a
    hold that was set meanwhile was said of both and stands on both.
    Refuses an empty reason, a second time, a record merged onward, and a vehicle that repairs of both now use.
    """
    require(by, "household.screen")
    if not reason.strip():
        raise BadInput("Write why, so that the next person who wonders can read it.")
    keys = (merging.kept_id, merging.other_id)
    rows = {row.pk: row for row in Household.objects.select_for_update().filter(pk__in=keys).order_by("pk")}
    kept, other = rows[merging.kept_id], rows[merging.other_id]
    for row in (kept, other):
        refuse_tie(by, row)
    if Unmerging.objects.filter(merging=merging).exists():
        raise AlreadyDone("This was taken back already.")
    if other.merged_into_id != kept.pk or kept.forgotten_on is not None:
        raise NotReady(
            f"{kept.code} was itself merged or forgotten since. Take the later merging back first."
        )
    _give_back(merging, kept, other)
    _hold_both(by, merging, kept, other)
    other.merged_into = None
    other.save(update_fields=["merged_into"])
    Household.objects.filter(pk__in=merging.moved["records"]).update(merged_into=other)
    write_keys(other)
    write_keys(kept)
    done = Unmerging.objects.create(merging=merging, reason=reason.strip(), on=on or clock.today(), by=by)
    text = f"{other.code} ({other.alias}) and {kept.code} ({kept.alias}) are two households after all."
    record(by=by, action="household.unmerge", subject=kept.code, text=text, data={"other": other.code})
    return done


def _give_back(merging: Merging, kept: Household, other: Household) -> None:
    back = {kind: list(merging.moved[kind]) for kind in MOVES}
    repairs = RepairOrder.objects.filter(application__in=back["requests"])
    back["repairs"] = sorted({*back["repairs"], *repairs.values_list("pk", flat=True)})
    used = repairs.values_list("vehicle_id", flat=True)
    back["vehicles"] = sorted({*back["vehicles"], *used})
    shared = RepairOrder.objects.filter(household=kept, vehicle__in=back["vehicles"]).exclude(
        pk__in=back["repairs"]
    )
    if shared.exists():
        raise NotReady(
            f"A vehicle of {other.alias} was repaired for {kept.alias} too, so they cannot be parted any more."
        )
    for kind, model in MOVES.items():
        model.objects.filter(pk__in=back[kind]).update(household=other)


def _hold_both(by: Person, merging: Merging, kept: Household, other: Household) -> None:
    meanwhile = Hold.objects.filter(lifted_on=None, set_on__gte=merging.on, household__in=(kept, other))
    for hold in meanwhile.order_by("pk"):
        second = other if hold.household_id == kept.pk else kept
        if second.holds.filter(lifted_on=None).exists():
            continue
        Hold.objects.create(household=second, reason=hold.reason, set_on=hold.set_on, set_by=hold.set_by)
        text = (
            f"Hold on {second.code} ({second.alias}) from the time when it was one with {merging.kept.code}."
        )
        record(by=by, action="hold.set", subject=second.code, text=text)
