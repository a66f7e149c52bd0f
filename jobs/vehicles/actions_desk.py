"""What is done at the desk about a vehicle: recalls looked up, a vehicle sent to its maker, an owner written to."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.repairs.actions_steps import cancel
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.vehicles.models_desk import OwnerNotice, RecallLookup
from jobs.vehicles.queries_desk import last_lookup, standing_since
from jobs.vehicles.rules_desk import FOUND, WAYS, days_standing, recall_sentence

TO_THE_DEALER = "An open recall covers the fault; sent to a dealer of the maker, who repairs it at no cost"


@transaction.atomic
def look_up_recalls(
    *, by: Person, repair: RepairOrder, found: str, where: str, words: str = "", on: date | None = None
) -> RecallLookup:
    """Write down what open recalls showed, where and on which day. A later look adds to the earlier ones.

    Refuses an ended repair order, a day to come, a missing place, and an open recall without what it is about.
    """
    require(by, "repair.write")
    hold(repair)
    on = on or clock.today()
    if repair.ended:
        raise NotReady(f"{repair.number} is {repair.state} and is no longer written on.")
    if found not in FOUND:
        raise BadInput("Say what the look at open recalls showed.")
    if on > clock.today():
        raise BadInput(f"{on} has not come yet. Write the day you looked.")
    if found != "no number" and not where.strip():
        raise BadInput("Write where you looked, such as the safety agency's page or a dealer you called.")
    if found in ("other", "covers", "dealer cannot") and not words.strip():
        raise BadInput("Write what the open recall is about, with its number.")
    row = RecallLookup.objects.create(
        repair=repair, on=on, by=by, where=where.strip() or "nowhere", found=found, words=words.strip()
    )
    text = f"{repair.number}: {recall_sentence(found, on, row.where)}"
    record(by=by, action="recall.look_up", subject=repair.number, text=text)
    return row


@transaction.atomic
def send_to_dealer(*, by: Person, repair: RepairOrder, on: date | None = None) -> RepairOrder:
    """Stop a repair that an open recall covers: the maker pays for it, at its dealers only.

    What was promised becomes free again; hours of diagnosis stay. Refuses while the last look shows nothing of it.
    """
    require(by, "repair.write")
    lookup = last_lookup(repair)
    if lookup is None or lookup.found != "covers":
        raise NotReady(f"No open recall that covers this fault is written down for {repair.number}.")
    return cancel(by=by, repair=repair, reason=f"{TO_THE_DEALER}. {lookup.words}", on=on)


@transaction.atomic
def write_to_owner(
    *, by: Person, repair: RepairOrder, way: str, words: str, answer: str = "", on: date | None = None
) -> OwnerNotice:
    """Log a word to an owner who does not fetch the vehicle. It books nothing: the cost stays where it is.

    Refuses a vehicle that was handed back, a day to come, and empty words.
    """
    require(by, "repair.write")
    hold(repair)
    on = on or clock.today()
    since = standing_since(repair)
    if since is None:
        raise AlreadyDone(f"{repair.number} was handed back on {repair.handed_back_on}.")
    if way not in WAYS:
        raise BadInput("Say how the owner was told: by letter, phone, message, or in person.")
    if not words.strip():
        raise BadInput("Write what was said or written, so that it can be shown later.")
    if on > clock.today() or on < since:
        raise BadInput(f"The day must lie between {since}, since when it stands, and today.")
    days = days_standing(since, on)
    row = OwnerNotice.objects.create(
        repair=repair, on=on, by=by, way=way, words=words.strip(), answer=answer.strip(), standing_days=days
    )
    text = f"{repair.number}: owner told by {WAYS[way].lower()} after {days} days."
    record(by=by, action="owner.notice", subject=repair.number, text=text)
    return row
