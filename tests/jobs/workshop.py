"""A repair on its way, built through the real actions: one function per step."""

from datetime import date
from functools import cache
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from fund import clock
from fund.access.models import Person
from fund.ledger import chart
from fund.ledger.actions import post
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.rulebook.actions import set_rule
from jobs.approvals.actions_relations import answer_relation
from jobs.eligibility.actions import decide, sight
from jobs.estimates.actions import set_estimate
from jobs.estimates.actions_owner import owner_agrees
from jobs.estimates.rules import Kind, LineDraft
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts
from jobs.intake.actions import answer_relation as answer_at_screening
from jobs.intake.actions import open_application
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS, QUESTIONS, Asking
from jobs.repairs.actions import open_repair, set_cause
from jobs.repairs.models import RepairOrder
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.actions_checkin import finish_check_in
from jobs.vehicles.rules import Standing
from jobs.vehicles.rules_checkin import CheckInFacts
from tests.fund.attachments.makers import photo

# A brake job at 168.40 with tax 13.89.
BRAKES = (
    LineDraft(Kind.PART, "front pads and rotors", Money(168_40), condition="new"),
    LineDraft(Kind.TAX, "sales tax", Money(13_89)),
)


# What the rules ask of a vehicle, so that none of them stands in the way of a test about something else.
OWN_FOR_YEARS = Standing(
    registered_on=date(2019, 5, 1), value=Money(20_000_00), value_source="a price guide of March"
)


def part(amount: int, text: str = "fuel pump module") -> tuple[LineDraft, ...]:
    """An estimate of one part, in minor units."""
    return (LineDraft(Kind.PART, text, Money(amount), condition="new"),)


def money_in_bank(by: Person, amount: int, purpose: str = chart.GENERAL) -> None:
    """A gift that has reached the bank, in minor units."""
    lines = [
        dr(chart.BANK, Money(amount), purpose=purpose),
        cr(
            chart.GIFTS if purpose == chart.GENERAL else chart.GIFTS_RESTRICTED,
            Money(amount),
            purpose=purpose,
        ),
    ]
    post(by=by, draft=EntryDraft("gift", clock.today(), "Gift", lines))


def asked(
    screener: Person, name: str = "Person of the tests", words: str = "Grinds when braking"
) -> Application:
    asking = Asking(
        name=name,
        phone="555-0100",
        address="1 Test Lane, Larkwater",
        complaint=words,
        vehicle_year=2011,
        vehicle_class="compact car",
        drivable="unsafe",
        need="work",
        answers=dict.fromkeys(QUESTIONS, "yes"),
        consents=dict.fromkeys(CONSENTS, True),
    )
    return open_application(by=screener, asking=asking)


def eligible(screener: Person, name: str = "Person of the tests") -> Application:
    """A household of one with 1,000.00 a month, found eligible today."""
    application = asked(screener, name)
    income = IncomeFacts(member=1, kind="pay", period="monthly", amount=Money(1_000_00))
    replace_incomes(by=screener, household=application.household, incomes=[income])
    sight(by=screener, household=application.household, kind="pay stub", document_date=clock.today())
    answer_at_screening(by=screener, application=application, tie=False)
    decide(by=screener, application=application, verdict="eligible", reasons=["income within"])
    application.refresh_from_db()
    return application


def checked_in(by: Person, application: Application, **facts: Any) -> RepairOrder:
    vehicle = add_vehicle(
        by=by,
        household=application.household,
        year=2011,
        vehicle_class="compact car",
        mileage=148_000,
        standing=OWN_FOR_YEARS,
    )
    facts.setdefault("complaint", "Grinds when braking")
    return walked_round(by, open_repair(by=by, application=application, vehicle=vehicle, **facts))


@cache
def _corners() -> tuple[bytes, ...]:
    return tuple(photo(size=(60 + side, 40)) for side in range(4))


def four_photos() -> list[SimpleUploadedFile]:
    """One of each corner, different from each other."""
    return [SimpleUploadedFile(f"corner-{place}.jpg", data) for place, data in enumerate(_corners())]


def walked_round(by: Person, repair: RepairOrder, **facts: Any) -> RepairOrder:
    """The check-in finished and signed, with four photos and no light on."""
    whole = {
        "mileage": max(repair.mileage_in or 0, repair.vehicle.mileage or 0),
        "no_lights": True,
        "signed": True,
    }
    told = CheckInFacts(**{**whole, "signed_by": "Owner of the tests", **facts})
    finish_check_in(by=by, repair=repair, facts=told, photos=four_photos(), on=repair.opened_on)
    repair.refresh_from_db()
    return repair


def owner_says_yes(by: Person, repair: RepairOrder) -> None:
    """The owner was told cause and estimate, and agreed."""
    owner_agrees(by=by, repair=repair, name="Owner of the tests", how="in person")


def priced(
    by: Person, application: Application, lines: tuple[LineDraft, ...] = BRAKES, **facts: Any
) -> RepairOrder:
    """Checked in, cause found, priced; the person who did it has answered about ties."""
    repair = checked_in(by, application, **facts)
    set_cause(by=by, repair=repair, cause="Front pads down to metal, measured 1 mm", book_hours=20)
    set_estimate(by=by, repair=repair, lines=lines)
    owner_says_yes(by, repair)
    answer_relation(by=by, repair=repair, tie=False)
    return repair


def ready(
    screener: Person,
    volunteer: Person,
    approver: Person,
    lines: tuple[LineDraft, ...] = BRAKES,
    name: str = "Person of the tests",
    **facts: Any,
) -> RepairOrder:
    """Priced, and everyone in the chain and the approver have said there is no tie."""
    repair = priced(volunteer, eligible(screener, name), lines, **facts)
    answer_relation(by=approver, repair=repair, tie=False)
    return repair


def without_share(by: Person) -> None:
    """The owner sets no share of free money that one person may approve: the test is about something else."""
    set_rule(
        by=by, name="free_share_percent", value="0", valid_from=clock.today(), reason="Not what is tested"
    )
