"""Donated hours: entered, confirmed by the person they are for, taken back by an opposite row."""

from collections.abc import Sequence
from datetime import date, time

from django.db import transaction

from fund import clock
from fund.access.guards import may, require
from fund.access.models import Person
from fund.ledger import chart
from fund.ledger.actions import post, reverse
from fund.ledger.lock import hold_books
from fund.ledger.models import Entry
from fund.ledger.queries import first_open_day
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.rulebook.queries import rule
from fund.trail.actions import record
from jobs.eligibility.ties import has_tie
from jobs.hours.models import HoursConfirmation, HoursEntry, Rate, Skill
from jobs.hours.queries import contractor_on, rate_on, spans_on, tenths_on
from jobs.hours.rules import Work, day, hours_text, outside_days, share_evenly, too_many, worth
from jobs.hours.rules_clock import Span, clock_refusal, overlap
from jobs.repairs.models import RepairOrder

YES = ("agreement", "approval", "supplement", "ratification")


@transaction.atomic
def add_hours(
    *,
    by: Person,
    repair: RepairOrder | None,
    person: Person,
    on: date,
    tenths: int,
    skill: Skill,
    note: str = "",
    work: str = Work.REPAIR,
    starts: time | None = None,
    ends: time | None = None,
) -> HoursEntry:
    """Hours of one person on one day, in tenths of an hour, valued at the rate of that day if skilled.

    Refuses more than 16 h a day for a person, two bays at the same clock time where ``starts`` and ``ends`` are given,
    a day to come, days outside the vehicle's stay unless it is office work, a recheck and a comeback before hand-back, skilled
    work of somebody who is paid as a contractor, days after a repair was stopped, and work of whoever approved the repair.
    Hours entered for somebody else wait for that person's yes; one's own wait for somebody else's where one is tied to the
    household.
    With the rule ``skilled_hours_posted`` the value is booked as gift in kind and equal cost; else it is a memo.
    """
    require(by, "hours.enter")
    hold_books()
    kind = _check(repair=repair, person=person, on=on, tenths=tenths, work=work)
    _check_clock(person, on, starts, ends, tenths)
    if skill.skilled and contractor_on(person, on):
        raise BadInput(
            f"{person.label} is paid for this work on {day(on)}: it is a bill, not a gift of hours. "
            "Enter what they billed under Hours, Paid work."
        )
    rate = _rate(skill, on)
    value = worth(tenths, rate.amount) if rate else Money.zero
    code = next_code(HoursEntry, "code", "T-", 5)
    entry = _book(
        by, repair, on, value, f"{code}: {hours_text(tenths)} h {skill.name.lower()}, {person.label}"
    )
    row = HoursEntry.objects.create(
        code=code, repair=repair, person=person, on=on, counted_on=max(on, first_open_day()), work=kind.value,
        tenths=tenths, starts=starts, ends=ends, skill=skill, rate=rate.amount if rate else None, value=value, note=note.strip(),
        entered_by=by, entered_at=clock.now(), entry=entry,
        needs_other=repair is not None and by.pk == person.pk and has_tie(by, repair.household),
    )  # fmt: skip
    what = f"{row.hours} h {skill.name.lower()} for {person.label} on {day(on)}"
    record(by=by, action="hours.add", subject=repair.number if repair else code, text=f"{code}: {what}.")
    return row


@transaction.atomic
def share_hours(
    *,
    by: Person,
    repair: RepairOrder | None,
    people: Sequence[Person],
    on: date,
    tenths: int,
    skill: Skill,
    note: str = "",
    work: str = Work.REPAIR,
    starts: time | None = None,
    ends: time | None = None,
    each: bool = False,
) -> list[HoursEntry]:
    """The hours of several people: together, split evenly (the first takes an odd tenth), or as many for ``each``.

    All or nothing.
    """
    if len({person.pk for person in people}) != len(people):
        raise BadInput("The same person is named twice. Name each person once.")
    shares = [tenths] * len(people) if each else share_evenly(tenths, len(people))
    if shares[-1] <= 0:
        raise BadInput(f"{hours_text(tenths)} h is too little to split between {len(people)} people.")
    return [
        add_hours(
            by=by,
            repair=repair,
            person=person,
            on=on,
            tenths=part,
            skill=skill,
            note=note,
            work=work,
            starts=starts,
            ends=ends,
        )
        for person, part in zip(people, shares, strict=True)
    ]


@transaction.atomic
def confirm_hours(*, by: Person, hours: HoursEntry) -> HoursConfirmation:
    """The person's own yes to hours that somebody else entered for them; for one's own hours on the repair of a household
    one is tied to, the yes of somebody else without a tie."""
    require(by, "hours.enter")
    if hours.needs_other:
        _refuse_own_word(by, hours)
    elif by.pk != hours.person_id:
        raise NotAllowed(f"Only {hours.person.label} can confirm these hours.")
    if _taken_back(hours):
        raise AlreadyDone(f"{hours.code} was taken back; there is nothing to confirm.")
    own = hours.entered_by_id == hours.person_id and not hours.needs_other
    if own or HoursConfirmation.objects.filter(hours=hours).exists():
        raise AlreadyDone(f"{hours.code} is already confirmed.")
    row = HoursConfirmation.objects.create(hours=hours, by=by, at=clock.now())
    text = f"{hours.code}: {by.label} confirmed {hours.hours} h that {hours.entered_by.label} entered."
    record(by=by, action="hours.confirm", subject=hours.code, text=text)
    return row


@transaction.atomic
def take_back_hours(*, by: Person, hours: HoursEntry, reason: str) -> HoursEntry:
    """Cancel hours by an opposite row (and the opposite ledger entry); both stay to be seen.

    For the person whose hours they are, who entered them, or someone who decides on repairs.
    """
    require(by, "hours.enter")
    if by.pk not in (hours.person_id, hours.entered_by_id) and not may(by, "repair.approve"):
        raise NotAllowed(
            f"Only {hours.person.label}, {hours.entered_by.label}, an owner or a treasurer may take these back."
        )
    if not reason.strip():
        raise BadInput("Say in a few words why these hours are taken back.")
    hold_books()
    if _taken_back(hours):
        raise AlreadyDone(f"{hours.code} was already taken back.")
    entry = reverse(by=by, entry=hours.entry, reason=reason.strip()) if hours.entry else None
    row = HoursEntry.objects.create(
        code=next_code(HoursEntry, "code", "T-", 5), repair=hours.repair, person=hours.person, on=hours.on,
        counted_on=max(hours.on, first_open_day()), work=hours.work, tenths=-hours.tenths, skill=hours.skill,
        rate=hours.rate, value=-hours.value, note=reason.strip()[:200], entered_by=by, entered_at=clock.now(),
        entry=entry, reverses=hours,
    )  # fmt: skip
    text = f"{row.code} takes back {hours.code}, {hours.hours} h of {hours.person.label}: {reason.strip()}"
    record(by=by, action="hours.take_back", subject=hours.code, text=text)
    return row


@transaction.atomic
def add_rate(*, by: Person, skill: Skill, amount: Money, basis: str, source: str, valid_from: date) -> Rate:
    """A new value per hour for a skill from a day on. Hours already entered keep the rate they used."""
    require(by, "rules.change")
    if not skill.skilled:
        raise BadInput(f"“{skill.name}” is counted in hours only; it has no rate.")
    if amount <= Money.zero:
        raise BadInput("A rate must be more than zero.")
    if not basis.strip() or not source.strip():
        raise BadInput(
            "Say what the rate is (wage, wage with benefits, posted shop rate) and where it is from."
        )
    row = Rate.objects.create(
        skill=skill, amount=amount, basis=basis.strip(), source=source.strip(), valid_from=valid_from
    )
    text = f"{skill.name}: {amount.dollars} an hour from {day(valid_from)}. {row.basis}. {row.source}"
    record(by=by, action="hours.rate", subject=skill.code, text=text)
    return row


def _check(*, repair: RepairOrder | None, person: Person, on: date, tenths: int, work: str) -> Work:
    if work not in list(Work):
        raise BadInput("Say what the hours were for.")
    kind = Work(work)
    if type(tenths) is not int or tenths <= 0:
        raise BadInput("Hours are whole tenths of an hour above zero: write 1.2 or 1.3, not 1.25.")
    if not person.is_active:
        raise BadInput(f"{person.label} is no longer on the crew. Ask an owner if that is wrong.")
    if repair is None and kind is not Work.OFFICE:
        raise BadInput("Say which repair the hours belong to, or choose office or shop work.")
    refused = outside_days(
        on,
        today=clock.today(),
        work=kind,
        checked_in=repair.opened_on if repair else None,
        handed_back=repair.handed_back_on if repair else None,
        stopped=repair.stopped_on if repair and repair.ended else None,
        came_back=repair is not None and kind is Work.COMEBACK and hasattr(repair, "comeback"),
    )
    if repair is not None and kind in (Work.REPAIR, Work.COMEBACK):
        refused = refused or _approved_it(repair, person)
    refused = refused or too_many(tenths_on(person, on), tenths, person.label, on)
    if refused:
        raise BadInput(refused)
    return kind


def _approved_it(repair: RepairOrder, person: Person) -> str | None:
    if not repair.approvals.filter(kind__in=YES, approver=person).exists():
        return None
    return (
        f"{person.label} approved {repair.number}, and who approves does not do the work. Choose who did it, or "
        "office work."
    )


def _refuse_own_word(by: Person, hours: HoursEntry) -> None:
    household = hours.repair.household if hours.repair else None
    if by.pk == hours.person_id or (household and has_tie(by, household)):
        raise TwoPeopleNeeded(
            f"{hours.person.label} has a tie to the household. Somebody of the crew without one confirms these hours."
        )


def _check_clock(person: Person, on: date, starts: time | None, ends: time | None, tenths: int) -> None:
    refused = clock_refusal(starts, ends, tenths)
    if refused:
        raise BadInput(refused)
    if starts is None or ends is None:
        return
    other = overlap(Span(starts, ends), spans_on(person, on))
    if other:
        raise BadInput(
            f"{person.label} was on {other.what} from {other.words} on {day(on)}. Nobody is in two places at once: "
            "correct the times, or take the other row back first."
        )


def _rate(skill: Skill, on: date) -> Rate | None:
    if not skill.skilled:
        return None
    rate = rate_on(skill, on)
    if rate is None:
        raise NotReady(
            f"There is no rate for “{skill.name}” on {day(on)}. An owner can add one under Hours, Rates."
        )
    return rate


def _book(by: Person, repair: RepairOrder | None, on: date, value: Money, text: str) -> Entry | None:
    if not value or not rule("skilled_hours_posted", on):
        return None
    cost_object = repair.cost_object_id if repair else None
    lines = [
        dr(chart.LABOR, value, cost_object=cost_object, text=text),
        cr(chart.GIFTS_LABOR, value, cost_object=cost_object, text=text),
    ]
    return post(by=by, draft=EntryDraft("hours", on, text, lines, source=text.split(":")[0]))


def _taken_back(hours: HoursEntry) -> bool:
    return hours.reverses_id is not None or HoursEntry.objects.filter(reverses=hours).exists()
