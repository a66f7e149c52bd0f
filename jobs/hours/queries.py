"""What pages, the sheet, the month and the workbook ask about hours. Tenths of an hour; values in minor units."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from fund.access.models import Person
from fund.money import Money
from jobs.approvals.models import ApprovalRelation
from jobs.hours.models import HoursEntry, Rate, Skill
from jobs.hours.models_pay import PayDecision
from jobs.hours.rules import hours_text
from jobs.hours.rules_clock import Span
from jobs.intake.models import RelationAnswer
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State


@dataclass(frozen=True)
class HoursTotal:
    """Clock hours in tenths, the skilled ones among them, and what the skilled ones would have cost."""

    tenths: int
    skilled_tenths: int
    value: Money
    people: int = 0

    @property
    def hours(self) -> str:
        return hours_text(self.tenths)

    @property
    def skilled_hours(self) -> str:
        return hours_text(self.skilled_tenths)


def rate_on(skill: Skill, on: date) -> Rate | None:
    """The rate of a skill that was in force on a day."""
    return Rate.objects.filter(skill=skill, valid_from__lte=on).order_by("-valid_from", "-id").first()


def all_hours() -> QuerySet[HoursEntry]:
    """Every row, newest first, with all that the list shows."""
    return HoursEntry.objects.select_related(
        "repair", "person", "skill", "entered_by", "confirmation", "reverses", "reversed_by"
    )


def last_skill(person: Person, *, on_a_repair: bool) -> str | None:
    """Code of the skill this person entered last, on a repair or off one: the likeliest one now."""
    rows = HoursEntry.objects.filter(entered_by=person, repair__isnull=not on_a_repair)
    return rows.order_by("-id").values_list("skill", flat=True).first()


def in_the_bay_of(person: Person) -> str | None:
    """The number of the one repair this person has in the bay now; None when there are several, or none."""
    rows = RepairOrder.objects.filter(mechanic=person, state=State.IN_WORK).values_list("number", flat=True)
    found = list(rows[:2])
    return found[0] if len(found) == 1 else None


def tenths_on(person: Person, on: date) -> int:
    """Tenths a person already has on a day, over all repairs."""
    return HoursEntry.objects.filter(person=person, on=on).aggregate(sum=Sum("tenths"))["sum"] or 0


def spans_on(person: Person, on: date) -> list[Span]:
    """The clock times a person's standing hours have on a day, over all repairs."""
    rows = standing(HoursEntry.objects.filter(person=person, on=on, starts__isnull=False))
    named = rows.order_by("starts").values_list("starts", "ends", "repair__number")
    return [Span(starts, ends, number or "office work") for starts, ends, number in named if starts and ends]


def pay_decision(person: Person) -> PayDecision | None:
    """The last word on whether a person is paid."""
    return PayDecision.objects.filter(person=person).order_by("-id").first()


def contractor_on(person: Person, on: date) -> PayDecision | None:
    """The decision by which a person is paid for work of a day, or None while their work is a gift."""
    last = pay_decision(person)
    if last is None or last.answer != "contractor" or last.from_on is None or last.from_on > on:
        return None
    return last


def add_up(rows: QuerySet[HoursEntry]) -> HoursTotal:
    figures = rows.order_by().aggregate(
        all_tenths=Coalesce(Sum("tenths"), 0),
        skilled_tenths=Coalesce(Sum("tenths", filter=Q(skill__skilled=True)), 0),
        worth=Sum("value"),
        people=Count("person", distinct=True, filter=Q(reverses=None, reversed_by=None)),
    )
    worth = figures["worth"] or Money.zero
    return HoursTotal(figures["all_tenths"], figures["skilled_tenths"], worth, figures["people"])


def hours_of_repair(repair: RepairOrder) -> HoursTotal:
    return add_up(HoursEntry.objects.filter(repair=repair))


def hours_between(start: date, end: date) -> HoursTotal:
    """Hours counted in a span of days, both ends in it (a late row counts in the month that took it)."""
    return add_up(HoursEntry.objects.filter(counted_on__range=(start, end)))


def hours_by_repair(repairs: list[int] | None = None) -> dict[int, HoursTotal]:
    """Totals of every repair (or of these), by its primary key, in one query."""
    rows = HoursEntry.objects.filter(repair__isnull=False)
    if repairs is not None:
        rows = rows.filter(repair__in=repairs)
    grouped = (
        rows.order_by()
        .values("repair_id")
        .annotate(tenths_sum=Sum("tenths"), skilled_sum=Sum("tenths", filter=Q(skill__skilled=True)))
        .annotate(value_sum=Sum("value"))
    )
    return {
        row["repair_id"]: HoursTotal(
            row["tenths_sum"], row["skilled_sum"] or 0, row["value_sum"] or Money.zero
        )
        for row in grouped
    }


def standing(rows: QuerySet[HoursEntry]) -> QuerySet[HoursEntry]:
    """Without rows that were taken back and the rows that took them back."""
    return rows.filter(reverses=None, reversed_by=None)


def waiting_for(person: Person) -> QuerySet[HoursEntry]:
    """Hours that wait for this person's yes: entered for them by somebody else, or by somebody tied to the household of
    the repair for themself, where this person is not tied to it."""
    on_request = RelationAnswer.objects.filter(person=person, tie=True).values("application__household")
    on_repair = ApprovalRelation.objects.filter(person=person, tie=True).values("repair__household")
    theirs = Q(needs_other=True) & ~Q(person=person)
    theirs &= ~Q(repair__household__in=on_request) & ~Q(repair__household__in=on_repair)
    return unconfirmed(all_hours().filter(Q(person=person, needs_other=False) | theirs))


def unconfirmed(rows: QuerySet[HoursEntry]) -> QuerySet[HoursEntry]:
    """Standing hours that wait for a second person's yes."""
    return standing(rows.filter(~Q(entered_by=F("person")) | Q(needs_other=True), confirmation=None))


def rates_used(repair: RepairOrder) -> list[tuple[str, Money]]:
    """Skill names with the rates per hour that valued this repair's standing hours, in order."""
    rows = standing(HoursEntry.objects.filter(repair=repair, rate__isnull=False))
    pairs = rows.order_by("skill__name", "rate").values_list("skill__name", "rate").distinct()
    return [(skill, rate) for skill, rate in pairs if rate is not None]


def for_workbook(start: date, end: date) -> Iterator[HoursEntry]:
    """Rows counted in a span of days, oldest first, streamed."""
    return all_hours().filter(counted_on__range=(start, end)).order_by("counted_on", "id").iterator(2000)
