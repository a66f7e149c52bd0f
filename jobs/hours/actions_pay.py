"""A volunteer who wants to be paid: refused, or a contractor from a day on; and what a contractor bills."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require, roles_of, two_people
from fund.access.models import Person
from fund.access.powers import OWNER
from fund.money import Money
from fund.receipts.actions import post_receipt, save_draft
from fund.receipts.models import Receipt
from fund.receipts.rules import LineInput, PortionInput, ReceiptInput
from fund.refusal import BadInput, NotAllowed, NotReady
from fund.trail.actions import record
from jobs.hours.models import HoursEntry
from jobs.hours.models_pay import PayDecision
from jobs.hours.queries import contractor_on, standing
from jobs.hours.rules import day
from jobs.repairs.models import RepairOrder


@transaction.atomic
def refuse_pay(*, by: Person, person: Person, reason: str) -> PayDecision:
    """Say no to a volunteer who wants to be paid. Their hours stay gifts."""
    _owner_decides(by, person)
    if not reason.strip():
        raise BadInput("Say why, in words the person may read.")
    row = PayDecision.objects.create(
        person=person, answer="refused", reason=reason.strip(), by=by, on=clock.today(), at=clock.now()
    )
    record(
        by=by, action="pay.refuse", subject=person.username, text=f"Not paid: {person.label}. {row.reason}"
    )
    return row


@transaction.atomic
def make_contractor(
    *, by: Person, person: Person, from_on: date, conflict: str, tax_form_on: date, reason: str
) -> PayDecision:
    """From a day on a volunteer's skilled work is bought, not given.

    ``conflict`` tells how the fund keeps the person out of decisions about their own bills; ``tax_form_on`` is the day
    their tax form was received (in the US Form W-9, before the first payment; the accountant says what is reported).
    Refuses oneself, days on which hours were given already, and both of these left empty.
    """
    _owner_decides(by, person)
    if not conflict.strip():
        raise BadInput(
            "Say how the conflict is kept out: who asks for the work, who approves it, who pays, none of them this person."
        )
    if not reason.strip():
        raise BadInput("Say why the fund buys this work instead of asking for it as a gift.")
    today = clock.today()
    if tax_form_on > today:
        raise BadInput("The tax form comes before the first payment. Write the day it was received.")
    if from_on < today:
        raise BadInput(
            f"{day(from_on)} is past. Nobody is paid for what was given: choose today or a later day."
        )
    given = standing(HoursEntry.objects.filter(person=person, on__gte=from_on, skill__skilled=True)).first()
    if given:
        raise BadInput(f"{given.code} gave hours on {day(given.on)}. They stay a gift: choose a later day.")
    row = PayDecision.objects.create(
        person=person, answer="contractor", from_on=from_on, conflict=conflict.strip(), tax_form_on=tax_form_on,
        reason=reason.strip(), by=by, on=today, at=clock.now(),
    )  # fmt: skip
    text = f"{person.label} is a contractor from {day(from_on)}. {row.reason}"
    record(by=by, action="pay.contractor", subject=person.username, text=text)
    return row


@transaction.atomic
def bill_of_contractor(
    *, by: Person, person: Person, repair: RepairOrder, number: str, on: date, amount: Money, text: str
) -> Receipt:
    """Book what a contractor billed for work on a repair: outside work against an unpaid bill, within the approval.

    Amount in minor units. Refuses the contractor entering it, a day on which the work was still a gift, and whatever
    a receipt refuses (nothing approved, above the tolerance, a tie to the household).
    """
    require(by, "receipt.enter")
    two_people(by, person, "bill work and enter the bill")
    if contractor_on(person, on) is None:
        raise NotReady(
            f"{person.label} was no contractor on {day(on)}. Work of that day was given; it is not paid for afterwards."
        )
    if not text.strip():
        raise BadInput("Say what was done, as the bill has it.")
    line = LineInput(text.strip(), amount, [PortionInput("outside", repair.cost_object_id)], taxable=False)
    data = ReceiptInput(
        store=person.label, number=number.strip(), on=on, total=amount, tax=Money.zero, tender="supplier_bill",
        buyer=by, lines=[line],
    )  # fmt: skip
    return post_receipt(by=by, receipt=save_draft(by=by, data=data))


def _owner_decides(by: Person, person: Person) -> None:
    if OWNER not in roles_of(by):
        raise NotAllowed("Only an owner decides whether somebody is paid.")
    two_people(by, person, "ask for pay and decide on it")
