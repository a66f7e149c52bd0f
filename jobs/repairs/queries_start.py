"""What must be there before a vehicle is worked on."""

from datetime import date

from jobs.estimates.queries_owner import owner_agreed
from jobs.repairs.models import RepairOrder
from jobs.repairs.queries_bounds import bounds_of
from jobs.repairs.rules_bounds import NO_WORK
from jobs.vehicles.queries_checkin import check_in_of
from jobs.vehicles.queries_desk import last_lookup


def before_work(repair: RepairOrder, on: date | None = None) -> list[str]:
    """What stands between an approved repair and the bay on a day, a sentence each. Seven queries."""
    lacks = [] if bounds_of(repair, on).work else [NO_WORK]
    if check_in_of(repair) is None:
        lacks.append("Finish the check-in: mileage, photos, dash lights and the owner's signature.")
    if not owner_agreed(repair):
        lacks.append("Ask the vehicle's owner: they have not said yes to this cause and estimate.")
    lookup = last_lookup(repair)
    if lookup is not None and lookup.found == "covers":
        lacks.append("An open recall covers this fault. Send it to a dealer of the maker.")
    return lacks
