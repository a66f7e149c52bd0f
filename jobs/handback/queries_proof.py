"""What the second person's list, the fluids, refusals, reminders and comebacks are asked for."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from django.db.models import Q, QuerySet, Sum

from fund import clock
from fund.access.models import Person
from fund.ledger.chart import COMEBACK
from fund.receipts.models import ReceiptPortion, ShelfIssue
from fund.receipts.quantities import FLUID_UNITS
from jobs.handback.models_proof import CheckList, Comeback, FluidLine, Reminder, UnsafeRefusal
from jobs.handback.rules_door import DoorLine, door_lines
from jobs.handback.rules_fluids import kinds_in
from jobs.handback.rules_proof import ComebackRate, FluidDraft, lines_to_check
from jobs.hours.models import HoursEntry
from jobs.hours.rules import Work
from jobs.repairs.models import RepairOrder
from jobs.vehicles.queries_checkin import check_in_of

# US liquid measure (NIST Handbook 44, Appendix C): 4 quarts to the gallon, 32 ounces to the quart, 0.946 352 946 liter.
QUARTS = {
    "quart": Fraction(1),
    "gallon": Fraction(4),
    "ounce": Fraction(1, 32),
    "liter": Fraction(1_000_000_000, 946_352_946),
}
FLUID_HOMES = ("fluid", "comeback")


def check_list_of(repair: RepairOrder) -> CheckList | None:
    """The last list that somebody went through."""
    return repair.check_lists.select_related("by").order_by("-id").first()


def lines_asked(repair: RepairOrder) -> list[str]:
    """What a second person is asked of this repair, by its typical job, and by what was wrong when it came in."""
    job = repair.typical_job
    return [*lines_to_check(job.verify if job else None), *(line.text for line in door_lines_of(repair))]


def door_lines_of(repair: RepairOrder) -> list[DoorLine]:
    """What the check-in marked as not safe or lit; nothing without one. One query."""
    door = check_in_of(repair)
    return door_lines(door.unsafe, door.unsafe_words, door.lights) if door else []


def fluids_charged(repair: RepairOrder) -> int:
    """Thousandths of a quart of fluids in the cost of a repair: bought, from the shelf, less what went back."""
    return round(sum((quarts for _, quarts in _fluids(repair)), Fraction(0)))


def kinds_charged(repair: RepairOrder) -> list[str]:
    """The kinds of fluid in the cost of a repair, as far as their lines name them."""
    return kinds_in(text for text, quarts in _fluids(repair) if quarts > 0)


def _fluids(repair: RepairOrder) -> list[tuple[str, Fraction]]:
    """Each line of fluid in the cost of a repair, with its thousandths of a quart less what went back. Two queries."""
    bought = ReceiptPortion.objects.filter(
        cost_object=repair.cost_object_id, home__in=FLUID_HOMES, line__receipt__state="posted",
        line__unit__in=FLUID_UNITS,
    ).annotate(back=_gone())  # fmt: skip
    taken = ShelfIssue.objects.filter(
        cost_object=repair.cost_object_id, home__in=FLUID_HOMES, lot__unit__in=FLUID_UNITS
    ).annotate(back=_gone())
    rows = [
        *bought.values_list("line__text", "line__unit", "quantity", "back"),
        *taken.values_list("lot__item", "lot__unit", "quantity", "back"),
    ]
    return [(text, QUARTS[unit] * (quantity - (back or 0))) for text, unit, quantity, back in rows]


def _gone() -> Sum:
    return Sum("returns__quantity", filter=Q(returns__to__in=("store", "shelf")))


def as_drafts(lines: Iterable[FluidLine]) -> list[FluidDraft]:
    return [FluidDraft(row.fluid, row.level, row.put_in, row.added, row.out, row.temp_f) for row in lines]


def standing_refusals(repair: RepairOrder) -> QuerySet[UnsafeRefusal]:
    """Refusals of what makes the vehicle safe that the owner has not taken back."""
    rows = repair.unsafe_refusals.select_related("taken_by", "paper", "end", "end__by")
    return rows.exclude(end__kind="agreed")


def goes_untested(repair: RepairOrder) -> bool:
    """Whether an owner of the fund lets the vehicle go without a road test after a signed refusal."""
    rows = list(standing_refusals(repair))
    return bool(rows) and all(hasattr(row, "end") for row in rows)


def reminders() -> QuerySet[Reminder]:
    return Reminder.objects.select_related("repair", "repair__household", "done_by")


def open_reminders(on: date | None = None) -> QuerySet[Reminder]:
    """Those that are due by a day (today) and not done, the oldest first."""
    return reminders().filter(done_on=None, due__lte=on or clock.today())


def is_comeback(repair: RepairOrder) -> bool:
    return Comeback.objects.filter(repair=repair).exists()


def comebacks() -> QuerySet[Comeback]:
    """All of them, newest first, with both repair orders."""
    return Comeback.objects.select_related("repair", "original", "opened_by", "decided_by")


def undecided_comebacks(person: Person) -> QuerySet[Comeback]:
    """Those whose fault this person may still decide: open, and not after their own work on the first repair."""
    hours = HoursEntry.objects.filter(person=person, reverses=None, reversed_by=None, repair__isnull=False)
    worked = hours.exclude(work=Work.OFFICE).values("repair")
    mine = Q(original__mechanic=person) | Q(original__in=worked)
    return Comeback.objects.filter(fault="").exclude(pk__in=Comeback.objects.filter(mine).values("pk"))


def counted_comebacks(start: date, end: date) -> int:
    """Repairs that came back in a span of days, without those that were found by its end not to be the crew's.

    A linked repair order counts once, on the day it was told of. A repair that only has comeback hours or comeback
    parts and no linked order counts once too.
    """
    linked = Comeback.objects.filter(told_on__range=(start, end)).exclude(fault="other", decided_on__lte=end)
    loose = RepairOrder.objects.filter(
        Q(hours__work=Work.COMEBACK, hours__counted_on__range=(start, end))
        | Q(cost_object__lines__account=COMEBACK, cost_object__lines__posting_date__range=(start, end))
    ).filter(comeback=None, comebacks=None)
    return linked.count() + loose.distinct().count()


def first_time_given(start: date, end: date) -> int:
    """Repairs handed back in a span of days. A comeback handed back again is no further household helped."""
    return RepairOrder.objects.filter(handed_back_on__range=(start, end), comeback=None).count()


def comeback_rate(start: date, end: date) -> ComebackRate:
    return ComebackRate(counted_comebacks(start, end), first_time_given(start, end))
