"""Steps of the story that concern households and repairs."""

from datetime import date

from fund.access.models import Person
from fund.money import Money
from jobs.approvals.actions import agree as agree_first
from jobs.approvals.actions import approve as approve_repair
from jobs.approvals.actions import supplement
from jobs.approvals.actions_consumables import take_consumables
from jobs.approvals.actions_relations import answer_relation as answer_for_repair
from jobs.approvals.actions_relations import people_to_ask
from jobs.eligibility.actions import decide as decide_request
from jobs.eligibility.actions import sight as sight_paper
from jobs.eligibility.queries import eligible_applications
from jobs.estimates.actions import request_supplement, set_estimate
from jobs.estimates.rules import Kind, LineDraft
from jobs.handback.actions import Observed, record_road_test
from jobs.handback.actions_comeback import open_comeback
from jobs.handback.actions_handback import finish_reminder
from jobs.handback.actions_handback import hand_back as give_keys
from jobs.handback.actions_proof import record_check_list
from jobs.handback.queries_proof import fluids_charged, lines_asked, open_reminders
from jobs.handback.rules import SAFETY_LINES
from jobs.handback.rules_proof import CheckLine, FluidDraft
from jobs.hours.actions import add_hours
from jobs.hours.actions_book import say_why
from jobs.hours.models import Skill
from jobs.households.actions import replace_incomes
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.actions_draft import begin_draft
from jobs.intake.actions_order import take_out_of_turn
from jobs.intake.actions_public import public_request
from jobs.intake.rules import QUESTIONS, WEB, Asking
from jobs.repairs.actions import open_repair, set_cause, set_correction
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import RepairOrder
from jobs.signing.rules import Signature
from jobs.vehicles.actions import add_vehicle
from jobs.vehicles.rules import Standing
from reports.demo.cast import Cast, Step
from reports.demo.scribble import scribble

PAPER_OF = {"pay": "pay stub", "self-employed": "profit and loss", "benefit": "benefit letter"}


def request(cast: Cast, by: Person, step: Step, on: date) -> None:
    told = step["household"]
    asking = Asking(
        name=told["name"],
        phone=told["phone"],
        address=told["address"],
        complaint=step["complaint"],
        need=step["need"],
        vehicle_class=step["vehicle_class"],
        consents={"data": True, "work": True, "road test": True},
        answers=dict.fromkeys(
            ("lives here", "own vehicle", "license", "insured", "own use", "still to do"), "yes"
        ),
    )
    members = [MemberFacts(**member) for member in told["members"]]
    application = open_application(
        by=by, asking=asking, members=members, submitted_on=on, alias=told["alias"]
    )
    replace_incomes(by=by, household=application.household, incomes=incomes_told(told))
    cast.applications[told["alias"]] = application


def public_request_of(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The household asks by the public form: a draft behind its own link, then sent. Nobody of the crew acts."""
    told = step["household"]
    asking = Asking(
        name=told["name"],
        phone=told["phone"],
        email=step["email"],
        address=told["address"],
        best_time=step["best_time"],
        complaint=step["complaint"],
        need=step["need"],
        need_words=step["need_words"],
        drivable=step["drivable"],
        other_way=step["other_way"],
        vehicle_class=step["vehicle_class"],
        vehicle_year=step["year"],
        plate=step["plate"],
        mileage=step["miles"],
        registered_on=date.fromisoformat(step["registered_on"]),
        channel=WEB,
        consents={"data": True, "work": True, "road test": True, "story": True},
        answers=dict.fromkeys(QUESTIONS, "yes"),
    )
    draft, _ = begin_draft(language="en", page="questions", typed={})
    cast.applications[told["alias"]] = public_request(
        draft=draft,
        asking=asking,
        members=[MemberFacts(**member) for member in told["members"]],
        incomes=incomes_told(told),
        on=on,
        alias=told["alias"],
    )


def incomes_told(told: Step) -> list[IncomeFacts]:
    names = ("kind", "period", "member", "hours")
    return [
        IncomeFacts(amount=Money(row["amount"]), **{name: row[name] for name in names})
        for row in told["incomes"]
    ]


def sight(cast: Cast, by: Person, step: Step, on: date) -> None:
    household = cast.applications[step["alias"]].household
    for kind in sorted(PAPER_OF.get(income.kind, "bank statement") for income in household.incomes.all()):
        dated = date.fromisoformat(step["dated"])
        sight_paper(by=by, household=household, kind=kind, document_date=dated, on=on)


def decide(cast: Cast, by: Person, step: Step, on: date) -> None:
    application = cast.applications[step["alias"]]
    answer_relation(by=by, application=application, tie=False, on=on)
    decide_request(
        by=by,
        application=application,
        verdict=step["verdict"],
        reasons=step["reasons"],
        words=step["words"],
        on=on,
    )


def repair(cast: Cast, by: Person, step: Step, on: date) -> None:
    application = cast.applications[step["alias"]]
    vehicle = add_vehicle(
        by=by,
        household=application.household,
        year=step["year"],
        vehicle_class=step["vehicle_class"],
        mileage=step["mileage"],
        standing=Standing(
            registered_on=date.fromisoformat(step["registered_on"]),
            value=Money(step["value"]),
            value_source="a price guide of the month",
        ),
    )
    if step.get("out_of_turn"):
        ready = list(eligible_applications(on))
        take_out_of_turn(by=by, application=application, ready=ready, reason=step["out_of_turn"], on=on)
    cast.repairs[step["alias"]] = open_repair(
        by=by,
        application=application,
        vehicle=vehicle,
        complaint=step["complaint"],
        job_type=step["job"],
        intermittent=step["intermittent"],
        owner_minutes_to_failure=step["minutes"],
        owner_miles_to_failure=step["miles"],
        mileage_in=step["mileage"],
        mechanic=by,
        book_hours=step["book"],
        on=on,
    )


def _priced(step: Step) -> list[LineDraft]:
    return [
        LineDraft(
            Kind(row["kind"]),
            row["text"],
            Money(row["amount"]),
            condition=row.get("condition", "").strip("-"),
        )
        for row in step["lines"]
    ]


def estimate(cast: Cast, by: Person, step: Step, on: date) -> None:
    order = set_cause(by=by, repair=cast.repair(step["alias"]), cause=step["cause"])
    order = set_estimate(by=by, repair=order, lines=_priced(step), on=on)
    for person in people_to_ask(order):
        answer_for_repair(by=person, repair=order, tie=False, on=on)


def approve(cast: Cast, by: Person, step: Step, on: date) -> None:
    order = cast.repair(step["alias"])
    answer_for_repair(by=by, repair=order, tie=False, on=on)
    approve_repair(by=by, repair=order, purpose=step["purpose"], on=on)


def agree(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The first of two yeses, where the repair takes more of what is free than one person may approve."""
    order = cast.repair(step["alias"])
    answer_for_repair(by=by, repair=order, tie=False, on=on)
    agree_first(by=by, repair=order, on=on)


def consumables(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The mechanic takes what looking for the fault needs, before the owner has decided."""
    order = cast.repair(step["alias"])
    answer_for_repair(by=by, repair=order, tie=False, on=on)
    take_consumables(by=by, repair=order, amount=Money(step["amount"]), words=step["words"])


def ask_more(cast: Cast, by: Person, step: Step, on: date) -> None:
    """The mechanic found more and asks for it before it is bought."""
    order = cast.repair(step["alias"])
    request_supplement(by=by, repair=order, lines=_priced(step), reason=step["reason"], on=on)


def more_yes(cast: Cast, by: Person, step: Step, on: date) -> None:
    supplement(by=by, repair=cast.repair(step["alias"]), on=on)


def hours(cast: Cast, by: Person, step: Step, on: date) -> None:
    order = cast.repair(step["alias"])
    if order.state == "approved":
        order = start_work(by=by, repair=order, on=on)
    add_hours(
        by=by, repair=order, person=by, on=on, tenths=step["tenths"], skill=Skill.objects.get(code="mechanic")
    )


def why(cast: Cast, by: Person, step: Step, on: date) -> None:
    say_why(by=by, repair=cast.repair(step["alias"]), cause=step["cause"], words=step["words"])


def done(cast: Cast, by: Person, step: Step, on: date) -> None:
    set_correction(by=by, repair=cast.repair(step["alias"]), correction=step["correction"])


def drive(cast: Cast, by: Person, step: Step, on: date) -> None:
    seen = Observed(
        in_traffic=True, on_highway=True, noises="none", pull="none", brake="straight", leaks="none"
    )
    record_road_test(
        by=by,
        repair=cast.repair(step["alias"]),
        on=on,
        driver=by,
        odometer_out=step["odometer"],
        odometer_in=step["odometer"] + step["miles"],
        minutes=step["minutes"],
        route="mixed",
        safety=dict.fromkeys((name for name, _ in SAFETY_LINES), True),
        complaint_returned=False,
        result="pass",
        observed=seen,
        fluids=fluids_of(cast.repair(step["alias"])),
    )
    check_list(by, cast.repair(step["alias"]), on)


def fluids_of(order: RepairOrder) -> list[FluidDraft]:
    """What the receipts and the shelf charged went in; coolant is read cold, an automatic takes its last quart hot."""
    charged = fluids_charged(order)
    if not charged:
        return []
    if "transmission" in order.job_type.lower():
        top_up = FluidDraft("transmission", "at mark", charged - 1000, added=1000, out=charged, temp_f=176)
        return [top_up]
    if "valve" in order.job_type.lower():
        return [FluidDraft("engine oil", "at mark", charged, out=charged)]
    return [FluidDraft("coolant", "later", charged, out=charged)]


def check_list(by: Person, order: RepairOrder, on: date) -> None:
    """All well, but for what can only be read the next day: a reminder asks for that."""
    lines = [
        CheckLine(text, "not here", "read the next morning, see the reminder")
        if "next day" in text
        else CheckLine(text, "yes")
        for text in lines_asked(order)
    ]
    record_check_list(by=by, repair=order, on=on, lines=lines)


def hand_back(cast: Cast, by: Person, step: Step, on: date) -> None:
    """Whoever hands back first does what is due of earlier ones; the last reminders stay open."""
    for row in open_reminders(on):
        finish_reminder(by=by, reminder=row, outcome="well", on=on)
    order = cast.repair(step["alias"])
    signature = Signature(drawn=scribble(order.household.applicant_name))
    give_keys(by=by, repair=order, on=on, odometer=step["odometer"], signature=signature)


def came_back(cast: Cast, by: Person, step: Step, on: date) -> None:
    open_comeback(
        by=by,
        original=cast.repair(step["alias"]),
        complaint=step["complaint"],
        same=False,
        mileage_in=step["mileage"],
        on=on,
    )
