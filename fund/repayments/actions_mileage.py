from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.actions import post, reverse
from fund.ledger.chart import ADMIN, OWED_CREW
from fund.ledger.lock import hold_books
from fund.ledger.rules import EntryDraft, cr, dr
from fund.money import Money
from fund.numbers import next_code
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.repayments.models import Mileage, MileageRate
from fund.repayments.queries_held import mileage_rate
from fund.repayments.rules import cents_text, mileage_amount, miles_text
from fund.trail.actions import record

MOST = 20_000  # tenths of a mile in one day; more is a slip of the pen


@transaction.atomic
def enter_mileage(*, by: Person, person: Person, on: date, tenths: int, reason: str) -> Mileage:
    """Miles driven for the fund become owed to the driver, at the charitable rate of the day.

    Refuses no miles or more than 2,000 in a day, a day still to come or without a rate, an empty reason, and the same trip
    (person, day, miles, reason) twice.
    """
    require(by, "receipt.enter")
    hold_books()
    reason = reason.strip()[:120]
    if not 0 < tenths <= MOST:
        raise BadInput("Write the miles of one day, above 0 and up to 2,000.")
    if on > clock.today():
        raise BadInput(f"{on} is still to come.")
    if not reason:
        raise BadInput("Say where the drive went and why, like “Gantry Parts and back, parts for the shop”.")
    same = Mileage.objects.filter(person=person, on=on, tenths=tenths, reason__iexact=reason, state="posted")
    if twin := same.first():
        raise AlreadyDone(f"This drive is {twin.code} already. If there were two, say so in the reason.")
    rate = mileage_rate(on)
    amount = mileage_amount(tenths, rate.tenths)
    if not amount:
        raise BadInput(f"{miles_text(tenths)} miles come to less than a cent.")
    code = next_code(Mileage, "code", "MI-")
    text = f"{code}: {miles_text(tenths)} miles at {cents_text(rate.tenths)} cents, {person.label}: {reason}"
    lines = [dr(ADMIN, amount, text="Mileage"), cr(OWED_CREW, amount, party=person.username)]
    entry = post(by=by, draft=EntryDraft("mileage", on, text[:200], lines, code))
    row = Mileage.objects.create(
        code=code,
        person=person,
        on=on,
        tenths=tenths,
        rate=rate.tenths,
        amount=amount,
        reason=reason,
        entry=entry,
        entered_by=by,
        entered_at=clock.now(),
    )
    record(
        by=by, action="mileage.enter", subject=code, text=f"{text}, {amount}.", data={"entry": entry.number}
    )
    return row


@transaction.atomic
def take_back_mileage(*, by: Person, mileage: Mileage, reason: str) -> Mileage:
    """Cancel miles that were entered wrongly, by a reversing entry of today. Refuses miles in a repayment."""
    require(by, "receipt.enter")
    hold_books()
    mileage = Mileage.objects.select_related("entry").get(pk=mileage.pk)
    if by.pk not in (mileage.person_id, mileage.entered_by_id):
        require(by, "receipt.correct")
    if mileage.state != "posted":
        raise AlreadyDone(f"{mileage.code} was taken back before.")
    if hasattr(mileage, "repayment_item"):
        raise NotReady(f"{mileage.code} is in {mileage.repayment_item.repayment.code}. Cancel that first.")
    if not reason.strip():
        raise BadInput("Say in a few words why it is taken back.")
    mirror = reverse(by=by, entry=mileage.entry, reason=f"{mileage.code} entered wrongly: {reason.strip()}")
    mileage.state = "reversed"
    mileage.save(update_fields=["state"])
    text = f"{mileage.code} taken back by entry {mirror.number}: {reason.strip()}"
    record(by=by, action="mileage.take_back", subject=mileage.code, text=text, data={"entry": mirror.number})
    return mileage


@transaction.atomic
def add_mileage_rate(*, by: Person, tenths: int, valid_from: date, source: str) -> MileageRate:
    """A new rate (tenths of a cent a mile) from a day on; miles entered before keep theirs. Refuses no source."""
    require(by, "rules.change")
    hold_books()
    if not 0 < tenths <= 5_000:
        raise BadInput("Write the rate in cents a mile, like 14 or 14.5.")
    if not source.strip():
        raise BadInput("Say where the rate stands and of which date it is.")
    row = MileageRate.objects.create(tenths=tenths, valid_from=valid_from, source=source.strip()[:200])
    text = f"Mileage at {cents_text(tenths)} cents a mile from {valid_from}: {row.source}"
    record(by=by, action="mileage.rate", subject="mileage", text=text)
    return row


def worth(tenths: int, on: date) -> Money:
    """What miles of a day come to, for showing before they are entered."""
    return mileage_amount(tenths, mileage_rate(on).tenths)
