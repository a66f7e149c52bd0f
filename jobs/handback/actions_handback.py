"""The hand-back: every figure frozen, the sheet kept, what is due afterwards written down."""

import hashlib
from datetime import date
from typing import Any

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.handback.care import care_of, wheels_were_off
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.models_proof import CheckList, Reminder
from jobs.handback.queries import last_road_test, left_undone, what_is_missing
from jobs.handback.queries_proof import check_list_of, goes_untested, reminders
from jobs.handback.rules_proof import NONE, reminders_after
from jobs.handback.sheet import sheet_pdf, snapshot
from jobs.hours.rules import day
from jobs.intake.actions import mark_helped
from jobs.repairs.actions_steps import mark_handed_back
from jobs.repairs.lock import hold
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import State
from jobs.repairs.ties import refuse_tied_hand
from jobs.signing.rules import Signature

UNSIGNED = Signature()
OUTCOMES = {"well": "All well", "back": "Not well: it comes back", "not reached": "Could not be reached"}


@transaction.atomic
def hand_back(
    *,
    by: Person,
    repair: RepairOrder,
    on: date,
    odometer: int,
    not_done: str = "",
    care: str = "",
    owner_agrees: bool = False,
    signature: Signature = UNSIGNED,
) -> HandBack:
    """Return the keys: freeze every figure, keep the printed sheet, release what is left of the commitment.

    ``not_done`` and ``care`` are further lines for the sheet, one a line; open findings and the cautions of the
    kind of job are added by themselves. ``owner_agrees`` is the owner's word to take back a vehicle whose fault
    could not be duplicated; ``signature`` is the owner's on the screen, without which the printed sheet has a line to
    sign on. Refuses while anything is missing, and names each thing. Writes the reminders, and the miles to the vehicle.
    """
    require(by, "handback.record")
    hold(repair)
    refuse_tied_hand(by, repair, "hands it back")
    if repair.state == State.HANDED_BACK:
        raise AlreadyDone(f"{repair.number} was already handed back.")
    if on > clock.today():
        raise BadInput(f"{day(on)} has not come yet. The hand-back is recorded when it happens.")
    if signature.wrong:
        raise BadInput(signature.wrong)
    lacks = what_is_missing(repair, odometer=odometer, on=on, owner_agrees=owner_agrees)
    if lacks:
        raise NotReady(f"{repair.number} cannot be handed back yet.", [lack.text for lack in lacks])
    untested = goes_untested(repair)
    test = None if untested else last_road_test(repair)
    checked = check_list_of(repair)
    assert checked is not None
    undone = [*left_undone(repair), *_lines(not_done)]
    notes = [*_lines(care), *care_of(repair, test)]
    due = _due(repair, test, on)
    facts = snapshot(
        repair=repair, test=test, checked=checked, due=due, odometer=odometer, on=on, by=by.label,
        not_done=undone, care=notes, signed=signature.how,
    )  # fmt: skip
    pdf = sheet_pdf(facts, repair.complaint)
    mark_handed_back(by=by, repair=repair, on=on, untested=untested)
    if repair.application.state == "eligible":
        mark_helped(by=by, application=repair.application, on=on)
    row = _keep(by, repair, test, checked, pdf, facts, owner_agrees, signature)
    repair.vehicle.mileage = max(odometer, repair.vehicle.mileage or 0)  # the next check-in is measured by it
    repair.vehicle.save(update_fields=["mileage"])
    Reminder.objects.bulk_create(Reminder(repair=repair, due=one.on, text=one.text) for one in due)
    data: dict[str, Any] = {"sheet_sha256": row.sheet_sha256, "signed": signature.how}
    text = f"{repair.number} handed back at {odometer:,} miles; the owner owes $0.00."
    record(by=by, action="handback.record", subject=repair.number, text=text, data=data)
    return row


def _keep(
    by: Person, repair: RepairOrder, test: RoadTest | None, checked: CheckList, pdf: bytes, facts: dict[str, Any],
    owner_agrees: bool, signature: Signature,
) -> HandBack:  # fmt: skip
    return HandBack.objects.create(
        repair=repair, road_test=test, check_list=checked, on=date.fromisoformat(facts["on"]), at=clock.now(),
        odometer=facts["odometer"], by=by, not_done="\n".join(facts["not_done"]), care_notes="\n".join(facts["care"]),
        owner_agrees=owner_agrees, sheet=pdf, sheet_sha256=hashlib.sha256(pdf).hexdigest(), snapshot=facts,
        drawn=signature.drawn or None, signed_by=signature.name.strip(), complaint=repair.complaint,
    )  # fmt: skip


def _due(repair: RepairOrder, test: RoadTest | None, on: date) -> list[Any]:
    fluids = {row.fluid: row.level for row in test.fluids.exclude(level=NONE)} if test else {}
    return reminders_after(
        on,
        repair.typical_job.reminders if repair.typical_job else [],
        wheels_off=wheels_were_off(repair, test),
        cold_level="coolant" in fluids or "later" in fluids.values(),
    )


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


@transaction.atomic
def finish_reminder(
    *, by: Person, reminder: Reminder, outcome: str, note: str = "", on: date | None = None
) -> Reminder:
    """Say how a reminder went; one that found the fault back leads to a comeback, which is opened apart.

    Refuses a second time, an outcome that is none, and “not well” or “could not be reached” without a word about it.
    """
    require(by, "handback.record")
    reminder = reminders().select_for_update(of=("self",)).get(pk=reminder.pk)
    if reminder.done_on:
        raise AlreadyDone(f"This was done on {day(reminder.done_on)}.")
    if outcome not in OUTCOMES:
        raise BadInput("Say how it went: all well, not well, or could not be reached.")
    if outcome != "well" and not note.strip():
        raise BadInput("Say in a few words what you heard or tried.")
    reminder.done_on, reminder.done_by = on or clock.today(), by
    reminder.outcome, reminder.note = outcome, note.strip()[:300]
    reminder.save()
    text = f"{reminder.text} {OUTCOMES[outcome]}. {reminder.note}".strip()
    record(by=by, action="reminder.done", subject=reminder.repair.number, text=text)
    return reminder
