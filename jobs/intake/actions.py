from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.rulebook.queries import rule
from fund.trail.actions import record
from jobs.households.actions import write_household, write_incomes
from jobs.households.identity import tidy_plate, tidy_vin
from jobs.households.models import Household
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.models import Application, RelationAnswer
from jobs.intake.rules import CONSENTS, OPEN_STATES, QUESTIONS, WEB, Asking, check_asking
from jobs.vehicles.actions import write_vehicle
from jobs.vehicles.models import Vehicle


@transaction.atomic
def open_application(
    *,
    by: Person,
    asking: Asking,
    members: Sequence[MemberFacts] = (),
    incomes: Sequence[IncomeFacts] = (),
    submitted_on: date | None = None,
    household: Household | None = None,
    alias: str | None = None,
) -> Application:
    """Take down a request for help; without ``household`` a new one is entered with it.

    ``members`` lists everyone in the household, the person asking included (relation "applicant"); empty means
    that person alone. ``incomes`` are entered as told, for a new household. Refuses a missing name, complaint, way to
    answer or consent to keep the data, an unknown choice, a date to come, a person asking who is under 18, and a
    second open request of the same household for the same words.
    """
    require(by, "intake.enter")
    if asking.channel == WEB:
        raise BadInput(
            "The public form is filled in by the household itself. Choose how this request came in."
        )
    return write_request(
        by=by,
        asking=asking,
        members=members,
        incomes=incomes,
        submitted_on=submitted_on,
        household=household,
        alias=alias,
    )


def write_request(
    *,
    by: Person | None,
    asking: Asking,
    members: Sequence[MemberFacts],
    incomes: Sequence[IncomeFacts],
    submitted_on: date | None,
    household: Household | None,
    alias: str | None,
) -> Application:
    """Part of the actions that take down a request, inside their transaction; asks for no power."""
    today = clock.today()
    on = submitted_on or today
    check_asking(asking, today)
    if on > today:
        raise BadInput(f"The request cannot be dated {on}, which is still to come.")
    if household is None:
        household = _enter(by, asking, members, incomes, on, alias)
    elif household.applications.filter(
        state__in=OPEN_STATES, complaint__iexact=asking.complaint.strip()
    ).exists():
        raise AlreadyDone(
            f"{household.alias} already has an open request with these words. Go on with that one."
        )
    _note_vehicle(household, asking)
    application = Application.objects.create(
        code=next_code(Application, "code", "A-"),
        household=household,
        submitted_on=on,
        asked_day=on.toordinal(),
        taken_by=by,
        channel=asking.channel,
        referral=asking.referral.strip(),
        best_time=asking.best_time.strip(),
        household_definition=rule("household_definition", on),
        vehicle_year=asking.vehicle_year,
        vehicle_class=asking.vehicle_class,
        vehicle_words=asking.vehicle_words.strip(),
        complaint=asking.complaint.strip(),
        drivable=asking.drivable,
        need=asking.need,
        need_words=asking.need_words.strip(),
        other_way=asking.other_way,
        answers={key: asking.answers.get(key, "") for key in QUESTIONS},
        consents={key: bool(asking.consents.get(key)) for key in CONSENTS},
    )
    how = "taken down" if by else "came by the public form"
    text = f"Request {application.code} of household {household.code} ({household.alias}) {how}."
    record(by=by, action="application.open", subject=application.code, text=text)
    return application


def _enter(
    by: Person | None,
    asking: Asking,
    members: Sequence[MemberFacts],
    incomes: Sequence[IncomeFacts],
    on: date,
    alias: str | None,
) -> Household:
    people = list(members) or [MemberFacts(name=asking.name, relation="applicant", adult=True)]
    household = write_household(
        by=by,
        name=asking.name,
        members=_with_name(people, asking),
        phone=asking.phone,
        email=asking.email,
        address=asking.address,
        area=asking.area,
        language=asking.language,
        program=asking.program,
        on=on,
        alias=alias,
    )
    write_incomes(household, incomes, asking.no_income_words)
    return household


def _note_vehicle(household: Household, asking: Asking) -> None:
    """What was told of the vehicle, so that it is known again by plate and VIN and its rules can be looked at."""
    if not asking.knows_vehicle or asking.vehicle_year is None or _known(household, asking):
        return
    vehicle = Vehicle(household=household, registered_on=asking.registered_on)
    write_vehicle(
        vehicle,
        asking.vehicle_year,
        asking.vehicle_class,
        asking.vehicle_words,
        asking.vin,
        asking.plate,
        asking.mileage,
        note="",
    )


def _known(household: Household, asking: Asking) -> bool:
    vin, plate = tidy_vin(asking.vin), tidy_plate(asking.plate)
    return any(
        (vin and tidy_vin(row.vin) == vin) or (plate and tidy_plate(row.plate) == plate)
        for row in household.vehicles.all()
    )


def _with_name(members: Sequence[MemberFacts], asking: Asking) -> list[MemberFacts]:
    """The person asking may be left nameless and ageless in the list: both were already given."""
    return [_same_person(row, asking) if row.relation == "applicant" else row for row in members]


def _same_person(row: MemberFacts, asking: Asking) -> MemberFacts:
    born = row.birth_date or asking.birth_date
    return replace(row, name=row.name if row.name.strip() else asking.name, birth_date=born)


@transaction.atomic
def answer_relation(
    *, by: Person, application: Application, tie: bool, words: str = "", on: date | None = None
) -> RelationAnswer:
    """``by`` answers whether they know or are related to the household. Anyone of the crew can be asked.

    A tie needs words, stays on record and takes away the power to decide on this household.
    """
    require(by, "repair.see")
    if tie and not words.strip():
        raise BadInput("Write in a few words how you are tied to this household.")
    answer = RelationAnswer.objects.create(
        application=application,
        person=by,
        tie=tie,
        words=words.strip(),
        on=on or clock.today(),
        at=clock.now(),
    )
    text = f"{by.label} answered the relation question on {application.code}: {'a tie' if tie else 'no tie'}."
    record(by=by, action="relation.answer", subject=application.code, text=text, data={"tie": tie})
    return answer


@transaction.atomic
def mark_helped(*, by: Person, application: Application, on: date | None = None) -> Application:
    """The vehicle was handed back: the request is done. Called by the hand-back.

    Refuses a request that was not found eligible. A second call changes nothing.
    """
    require(by, "handback.record")
    application = Application.objects.select_for_update().get(pk=application.pk)
    if application.state == "helped":
        return application
    if application.state != "eligible":
        raise NotReady(
            f"{application.code} is “{application.state}”; only an eligible request can be helped."
        )
    application.state, application.helped_on = "helped", on or clock.today()
    application.save(update_fields=["state", "helped_on"])
    text = f"{application.code} of household {application.household.alias} was helped."
    record(by=by, action="application.helped", subject=application.code, text=text)
    return application
