from collections.abc import Sequence
from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.numbers import next_code
from fund.refusal import BadInput
from fund.trail.actions import record
from jobs.eligibility.ties import refuse_tie
from jobs.households.actions_search import write_keys
from jobs.households.models import Household, Income, Member
from jobs.households.queries import alias_pool, free_alias
from jobs.households.queries_read import INCOMES, PEOPLE, refuse_older
from jobs.households.rules import (
    AREAS,
    LANGUAGES,
    PROGRAMS,
    IncomeFacts,
    MemberFacts,
    check_income,
    check_members,
    people_words,
)
from jobs.repairs.models import RepairOrder

CONTACT = ("applicant_name", "phone", "email", "address", "area", "district", "language", "program")


@transaction.atomic
def enter_household(
    *,
    by: Person,
    name: str,
    members: Sequence[MemberFacts] = (),
    phone: str = "",
    email: str = "",
    address: str = "",
    area: str = "contiguous",
    language: str = "en",
    on: date | None = None,
    alias: str | None = None,
) -> Household:
    """A new household with the next code and the next free alias (``alias`` chooses one of the list).

    Without ``members`` it is the person asking alone. Refuses an unknown area, a bad e-mail, and an alias
    that is not in the list or is in use while others are free.
    """
    require(by, "intake.enter")
    return write_household(
        by=by,
        name=name,
        members=members,
        phone=phone,
        email=email,
        address=address,
        area=area,
        language=language,
        on=on,
        alias=alias,
    )


def write_household(
    *,
    by: Person | None,
    name: str,
    members: Sequence[MemberFacts],
    phone: str,
    email: str,
    address: str,
    area: str,
    language: str,
    on: date | None,
    alias: str | None,
    program: str = "",
) -> Household:
    """Part of the actions that take down a request, inside their transaction; asks for no power.

    ``by`` is None where the household asks by the public form. Refuses what :func:`enter_household` refuses.
    """
    _check_contact(name, email, area, language)
    code = next_code(Household, "code", "H-")
    household = Household.objects.create(
        code=code,
        alias=_alias(alias),
        applicant_name=name.strip(),
        phone=phone.strip(),
        email=email.strip(),
        address=address.strip(),
        area=area,
        language=language,
        program=program,
        entered_on=on or clock.today(),
    )
    alone = [MemberFacts(name=name, relation="applicant", adult=True)]
    _write_members(household, list(members) or alone)
    write_keys(household)
    record(
        by=by, action="household.enter", subject=code, text=f"Household {code} ({household.alias}) entered."
    )
    return household


def _alias(wanted: str | None) -> str:
    free = free_alias()
    if wanted is None:
        return free
    if wanted not in alias_pool():
        raise BadInput(f"“{wanted}” is not in the list of aliases.")
    in_use = Household.objects.filter(alias=wanted).count()
    if in_use > Household.objects.filter(alias=free).count():
        raise BadInput(f"The alias {wanted} is in use while others are free. Take {free}.")
    return wanted


def _check_contact(name: str, email: str, area: str, language: str) -> None:
    if not name.strip():
        raise BadInput("Write the name of the person who asks.")
    if area not in AREAS or language not in LANGUAGES:
        raise BadInput(f"Choose the area ({', '.join(AREAS)}) and the language ({', '.join(LANGUAGES)}).")
    if email.strip():
        try:
            validate_email(email.strip())
        except ValidationError:
            raise BadInput(
                f"“{email.strip()[:60]}” is not an e-mail address. Correct it or leave it empty."
            ) from None


@transaction.atomic
def change_contact(*, by: Person, household: Household, **changes: str) -> Household:
    """Correct the name, phone, e-mail, address, area or language. Decisions already taken keep their area.

    Where another income table counts from now on, requests found eligible but not approved yet wait for a new decision.
    """
    require(by, "household.screen")
    refuse_tie(by, household)
    before = (household.area, household.district)
    strange = set(changes) - set(CONTACT)
    if strange:
        raise BadInput(f"These cannot be changed here: {', '.join(sorted(strange))}.")
    for name, value in changes.items():
        setattr(household, name, value.strip())
    _check_contact(household.applicant_name, household.email, household.area, household.language)
    if household.program and household.program not in PROGRAMS:
        raise BadInput(f"Choose the program: {', '.join(PROGRAMS.values())}; or none.")
    household.save(update_fields=list(changes))
    household.members.filter(relation="applicant").update(name=household.applicant_name)
    write_keys(household)
    if before != (household.area, household.district):
        _decide_anew(by, household)
    text = f"Contact of household {household.code} ({household.alias}) changed: {', '.join(sorted(changes))}."
    record(by=by, action="household.contact", subject=household.code, text=text)
    return household


def _decide_anew(by: Person, household: Household) -> None:
    begun = RepairOrder.objects.filter(household=household, approved_on__isnull=False).values("application")
    for application in household.applications.filter(state="eligible").exclude(pk__in=begun):
        application.state = "waiting"
        application.save(update_fields=["state"])
        text = f"{application.code} of household {household.alias} waits for a new decision: the household moved."
        record(by=by, action="application.moved", subject=application.code, text=text)


@transaction.atomic
def replace_members(
    *, by: Person, household: Household, members: Sequence[MemberFacts], read: str | None = None
) -> list[Member]:
    """The people of a household anew. A row with a ``number`` keeps that person; those left out leave.

    Refuses a tie, a list without exactly one person asking, leaving out someone who has an income entered, and a list
    typed over other people than are entered now; ``read`` is the mark of those on the page.
    """
    require(by, "household.screen")
    refuse_tie(by, household)
    refuse_older(PEOPLE, household, read)
    rows = _write_members(household, members)
    write_keys(household)
    text = f"Household {household.code} ({household.alias}) is {people_words(len(rows))}."
    record(by=by, action="household.members", subject=household.code, text=text, data={"size": len(rows)})
    return rows


@transaction.atomic
def add_member(*, by: Person, household: Household, member: MemberFacts) -> Member:
    """One more person. Refuses what :func:`replace_members` refuses."""
    present = [
        MemberFacts(
            name=row.name,
            relation=row.relation,
            birth_year=row.birth_year,
            birth_date=row.birth_date,
            adult=row.adult,
            number=row.number,
        )
        for row in household.members.all()
    ]
    return replace_members(by=by, household=household, members=[*present, member])[-1]


def _write_members(household: Household, members: Sequence[MemberFacts]) -> list[Member]:
    check_members(members, clock.today())
    present = {row.number: row for row in household.members.all()}
    kept = [member.number for member in members if member.number is not None]
    if len(set(kept)) != len(kept) or not set(kept) <= set(present):
        raise BadInput("The list of people changed meanwhile. Open the page again.")
    for number in sorted(set(present) - set(kept)):
        if present[number].incomes.exists():
            raise BadInput(
                f"Person {number} has an income entered. Take the income out first, then the person."
            )
        present[number].delete()
    last = max(present, default=0)
    rows = []
    for member in members:
        if member.number is None:
            last += 1
        row = present.get(member.number or 0) or Member(household=household, number=last)
        row.name, row.relation = member.name.strip(), member.relation
        row.birth_date, row.adult = member.birth_date, member.adult
        row.birth_year = member.birth_date.year if member.birth_date else member.birth_year
        row.save()
        rows.append(row)
    asking = next(row for row in rows if row.relation == "applicant")
    if household.applicant_name != asking.name:
        household.applicant_name = asking.name
        household.save(update_fields=["applicant_name"])
    return rows


@transaction.atomic
def replace_incomes(
    *,
    by: Person,
    household: Household,
    incomes: Sequence[IncomeFacts],
    no_income_words: str = "",
    read: str | None = None,
) -> list[Income]:
    """All incomes of a household anew. ``no_income_words``: how rent, food and phone are paid when there is none.

    Refuses (naming the row) what :func:`rules.check_income` refuses, an income of nobody in the household, and incomes
    typed over others than are entered now (``read``: the mark of those on the page). Decisions keep their figures.
    """
    require(by, "household.screen")
    refuse_tie(by, household)
    refuse_older(INCOMES, household, read)
    rows = write_incomes(household, incomes, no_income_words)
    text = f"Incomes of household {household.code} ({household.alias}) entered: {len(rows)}."
    record(by=by, action="household.incomes", subject=household.code, text=text, data={"incomes": len(rows)})
    return rows


def write_incomes(household: Household, incomes: Sequence[IncomeFacts], no_income_words: str) -> list[Income]:
    """Part of an action, inside its transaction; asks for no power. Refuses what :func:`replace_incomes` refuses."""
    people = {row.number: row for row in household.members.all()}
    for row, income in enumerate(incomes, start=1):
        try:
            check_income(income)
        except BadInput as refusal:
            raise BadInput(f"Income {row}: {refusal.sentence}") from refusal
        if income.member not in people:
            raise BadInput(f"Income {row}: there is no person {income.member} in this household.")
    household.incomes.all().delete()
    rows = [
        Income.objects.create(
            household=household,
            member=people[income.member],
            kind=income.kind,
            period=income.period,
            amount=income.amount,
            hours=income.hours,
            weeks=income.weeks,
            weeks_so_far=income.weeks_so_far,
            months=income.months,
            detail=income.detail,
            note=income.note.strip(),
        )
        for income in incomes
    ]
    household.no_income_words = no_income_words.strip()
    household.save(update_fields=["no_income_words"])
    return rows


@transaction.atomic
def add_income(*, by: Person, household: Household, income: IncomeFacts) -> Income:
    """One more income. Refuses what :func:`replace_incomes` refuses."""
    present = [row.facts for row in household.incomes.select_related("member")]
    rows = replace_incomes(
        by=by, household=household, incomes=[*present, income], no_income_words=household.no_income_words
    )
    return rows[-1]
